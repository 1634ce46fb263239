"""The draw: numbers by lot that anybody can work out again, blocks, arms, Latin squares, and the whole draw from them."""
