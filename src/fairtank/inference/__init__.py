"""Series to findings: each unit becomes one number, the units are the sample, one interval decides the grade.

question      what is asked of one measure: scale, windows, margin, level
days          a unit's values, one per day
windows       which days count, the gap rule, the time-weighted mean
scales        logit, log and back
summaries     stage 1: one number per unit
tanks         compartments that share water become one number per tank
student       Student's t distribution
welch         stage 2: the interval
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
"""

from fairtank.inference.judging import compare, judge

__all__ = ["compare", "judge"]
