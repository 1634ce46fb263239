"""Formulas of the trade, each with its source, its unit and the range it holds for. One file per topic.

The glass and what stands in it
    vessel  litres, weight on the stand      bed    layers, slopes, compartments, densities      glass  bending of panes and dividers
    heat    loss, heaters, devices, electricity
The water
    water  carbonate, hardness, blending      co2  the trade's ways to judge CO2      conductivity  ionic strength, TDS
    salts  by formula, what dissolves         dosing  doses, stock solutions          changes  doses and water changes over weeks
    gases  oxygen and CO2 at the surface      air  pressure, percent saturation       transfer  how fast a surface exchanges gas
    nitrogen  ammonia, the first weeks        nitrification  what it costs, a forecast from own readings
Light and growth
    light  PPFD, lux, light per day           lamps  setting a dimmer                 response  growth against light
    growth  rates, curves, onset              controls  whether controls grew well
Counting and colour
    cover  shares from counted points         scales  cover classes, film thickness   colour  CIELAB, differences, indices
Behind them, without calculators
    units  ranges  calling  uncertainty  cautions  plates  heat_transfer  equilibria  formulas  cycling  spectra

Import the topic and read its name at each use: `from fairtank.science import vessel`.
"""
