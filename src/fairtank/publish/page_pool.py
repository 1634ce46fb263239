"""Several trials together in a page: one row for each with its interval, with the same rows as a table."""

from fairtank.publish.blocks import Table
from fairtank.publish.charts import NARROW_PX, WIDE_PX, Spec
from fairtank.publish.page_chart import PageChart, with_touch
from fairtank.publish.phrases import capital
from fairtank.publish.pool_chart import pool_spec
from fairtank.publish.pool_words import PoolStory, effect_heading, effect_words, table_rows

_SHAPES = ("square", "circle")


def pool_page_chart(story: PoolStory) -> PageChart:
    """The trials of one question, all of them together, and where a further one would probably lie.

    Parameters
    ----------
    story : PoolStory
        The trials and their frozen result.

    Returns
    -------
    PageChart
        Of the key `trials-together`.

    References
    ----------
    arithmetic (keys from sources.py).
    """
    wide, narrow = (_touch_trials(pool_spec(story, width_px=width), story) for width in (WIDE_PX, NARROW_PX))
    head, *rows = table_rows(story)
    names = ("Letter", *map(capital, head[1:]))
    table = Table(effect_heading(story), names, tuple(map(tuple, rows)), wide=(1,),
                  numeric=tuple(place for place, name in enumerate(head) if name in ("effect", "weight")))
    return PageChart("trials-together", _title(story), wide["description"], "", wide, narrow, table)


def _title(story: PoolStory) -> str:
    pooled = story.pooled
    if pooled.estimate is None or len(pooled.rows) == 1:
        return f"{effect_heading(story)}: {'one trial' if len(pooled.rows) == 1 else 'the trials cannot be put together'}"
    effect = effect_words(story, pooled.estimate, pooled.low, pooled.high)
    return f"{effect_heading(story)}: {effect} in {pooled.facts.trials} trials together"


def _touch_trials(spec: Spec, story: PoolStory) -> Spec:
    """Each trial's words at its mark; the marks stand in the order of the trials that have an estimate."""
    words = [f"{letter} {trial}: {effect}" for letter, trial, _, effect, *_ in table_rows(story)[1:len(story.pooled.rows) + 1]]
    marks = [layer["data"]["values"][0] for layer in spec["layer"]
             if layer["mark"]["type"] == "point" and layer["mark"]["shape"] in _SHAPES]
    told = [text for text, row in zip(words, story.pooled.rows, strict=True) if row.estimate is not None]
    return with_touch(spec, [(mark["x"], mark["y"], text) for mark, text in zip(marks, told, strict=True)], size=400)
