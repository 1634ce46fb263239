"""Charts drawn here: the descriptions of the report's charts made into SVG within milliseconds, without a renderer to start.

It knows what these charts use of Vega-Lite and nothing more, and gives the very SVG that the renderer gives; a description that holds
anything else is left to the renderer.
"""
