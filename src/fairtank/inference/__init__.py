"""Series to findings: each unit becomes one number, the units are the sample, one interval decides the grade.

series/      from a unit's series to its one number: days, windows, scales, summaries, slopes, tanks; days as tanks refused; test limits
designs/     what each design makes of the units' numbers: orders of a swap, pairs, rounds, drawn start, ladder, several arms, two changes
intervals/   Student, Welch, the shuffle test, several comparisons under one promise, Holm
earlier/     earlier like tanks: which are alike, what they say, the interval that leans on them, what a finished trial adds
eyes/        people's scores and choices, and how far they agree
foresight/   what a plan could show before it starts
analyses/    one file per design: the declared door of each

record       everything that was recorded and may be looked at
question     what is asked of one measure: scale, windows, margin, level
contrast     stage 2 in general, and two arms side by side
outcome      stage 1 and stage 2 together, under the plan's choices or an alternative to one of them
sensitivity  the alternatives, fixed beforehand by the method
grades       the grade and its tags
findings     the frozen result
working      the numbers between the units and the interval, by name
settling     what would settle a finding: how many units would notice the margin
looks        planned looks, a trial that was stopped, and as of when it is read
unfinished   a trial that is still running
unjudged     the finding of a measure that could not be judged
judging      `compare` for one measure, `judge` for all of them
pooling      several trials of one question
rounding     numbers settled to the digits that are the same everywhere
"""

from fairtank.inference.judging import compare, judge

__all__ = ["compare", "judge"]
