"""Series to findings: each unit becomes one number, the units are the sample, one interval decides the grade.

record        everything that was recorded and may be looked at
question      what is asked of one measure: scale, windows, margin, level
days          a unit's values, one per day
windows       which days count, the gap rule, the time-weighted mean
scales        logit, log and back
summaries     stage 1: one number per unit
slopes        the summary slope
onsets        the summary threshold, and the comparison of who was later
tanks         compartments that share water become one number per tank
student       Student's t distribution
welch         stage 2: the interval
contrast      stage 2 in general, and two arms side by side
classes, like_tanks, mixture, library   earlier like tanks: which are alike, what they say, the interval that leans on them
borrowing     what a trial may borrow from earlier tanks, and what it adds to them
orders, pairs, rounds   stage 2 of a swap, of pairs, of rounds
posing        which summaries a design can be asked for
shuffle       the exact shuffle test
grades        the grade and its tags
outcome       stage 1 and stage 2 together, under the plan's choices or an alternative to one of them
sensitivity   the alternatives, fixed beforehand by the method
holm          several secondary measures
findings      the frozen result
unfinished    a trial that is still running
unjudged      the finding of a measure that could not be judged
analyses/     one file per design
judging       `compare` for one measure, `judge` for all of them

Not called by the judging yet, whole in themselves:
drawn_start                     two tanks whose day of change was drawn by lot
raters, agreement, preferences  people's scores and pair choices
pooling                         several trials of one question

showing       what a plan could show: power, smallest, spread_parts, layouts, like_spread, drawn_start_power
"""

from fairtank.inference.judging import compare, judge

__all__ = ["compare", "judge"]
