"""Invented trials as series of cover, no pictures: many at a time to see how honest an analysis is, one at a time as an example.

world      what tanks, days and photos are like; what a change does
plans      bare plans of every design
course     who receives what on which day
tanks      the cover of all units, many trials at once
stories    what the example trials are about
examples   one example trial of every design
"""

from fairtank.simulation.trials.course import all_receiving, course_of
from fairtank.simulation.trials.examples import EXAMPLES, example_trial
from fairtank.simulation.trials.tanks import series_from, simulated_cover
from fairtank.simulation.trials.world import NEW_TANKS, NO_EFFECT, SETTLED_TANKS, Effect, World, with_spread

__all__ = ["EXAMPLES", "NEW_TANKS", "NO_EFFECT", "SETTLED_TANKS", "Effect", "World", "all_receiving", "course_of", "example_trial",
           "series_from", "simulated_cover", "with_spread"]
