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
multiple      critical values of several comparisons under one promise
classical     the tests of books with one scatter for all, for published checks
many_arms     more than two arms, and their places
doses, ladder         a ladder of doses: what it needs, and the line through it
four_ways, two_changes   two changes at once: the four ways, and what each change does
posing        which summaries a design can be asked for
shuffle       the exact shuffle test
grades        the grade and its tags
outcome       stage 1 and stage 2 together, under the plan's choices or an alternative to one of them
sensitivity   the alternatives, fixed beforehand by the method
holm          several secondary measures
findings      the frozen result
working       the numbers between the units and the interval, by name
settling      what would settle a finding: how many units would notice the margin
unfinished    a trial that is still running
looks         planned looks, a trial that was stopped, and as of when it is read
drawn_start   the exact test of two tanks whose day of change was drawn by lot
raters, agreement, mildness   people's scores: how far they agree, and one number per photo
preferences, choices, bridges   choices between two photos: a strength per unit, and what chance in the answers adds
eyes          the people behind a measure, and what their agreement lets a finding say
detection     readings below a test's limit
instruments   what the instrument of a measure adds to its analysis
unjudged      the finding of a measure that could not be judged
analyses/     one file per design
judging       `compare` for one measure, `judge` for all of them

Not called by the judging yet, whole in themselves:
raters, agreement, preferences  people's scores and pair choices
pooling                         several trials of one question

showing       what a plan could show: power, smallest, spread_parts, layouts, like_spread, drawn_start_power
"""

from fairtank.inference.judging import compare, judge

__all__ = ["compare", "judge"]
