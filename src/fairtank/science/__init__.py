"""Formulas of the trade, each with its source, its unit and the range it holds for. One file per topic:

vessel   litres, bed depth, displaced water and the weight on the stand
cover    shares from counted points: intervals, strata, areas from a confusion matrix, cover classes
colour   sRGB to CIELAB, the CIEDE2000 difference, the excess green index
ranges   the check that a number lies in the range a function holds for

Import the topic and read its name at each use: `from fairtank.science import vessel`.
"""
