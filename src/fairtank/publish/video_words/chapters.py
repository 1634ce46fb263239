"""Chapter marks of the film: the question, the days, the start of the change, gaps, the last day, the finding."""

from fairtank.publish.curves import change_day
from fairtank.publish.video_words.content import WordsContent

SHORTEST_S = 1.0  # marks closer together than this are one


def chapter_marks(content: WordsContent) -> tuple[tuple[float, str], ...]:
    """Times [s of the film] and what begins there; the first one at 0. None without a film.

    Parameters
    ----------
    content : WordsContent

    Returns
    -------
    tuple of (float, str)

    References
    ----------
    common_practice (keys from sources.py).
    """
    timeline, plan = content.timeline, content.plan
    if timeline is None:
        return ()
    shots = [shot for shot in timeline.shots if shot.kind in ("hold", "day", "gap")]
    first, last = shots[0], shots[-1]
    marks = [(0.0, "What was asked")] if timeline.shots[0].kind == "open" else []
    marks.append((timeline.seconds_of(first), f"Day {first.day}"))
    start = change_day(plan)
    if start is not None and first.day is not None and start > first.day:
        begins = "the tanks change places" if plan.kind == "swap" else "the change starts"
        marks.append((timeline.seconds_of_day(start), f"Day {start}: {begins}"))
    marks.append((timeline.seconds_of(last), f"Day {last.day}, the last one"))
    marks += [(timeline.seconds_of(shot), "Which tank had what") for shot in timeline.shots if shot.kind == "reveal"][:1]
    marks += [(timeline.seconds_of(shot), "What was found") for shot in timeline.shots if shot.kind == "close"][:1]
    kept: list[tuple[float, str]] = []
    for at, words in sorted(marks, key=lambda mark: mark[0]):
        if not kept or at - kept[-1][0] >= SHORTEST_S:
            kept.append((at, words))
    return tuple(kept)


def chapters_text(content: WordsContent) -> str:
    """The chapter marks as lines of a description; empty without a film."""
    return "".join(f"{clock(at)} {words}\n" for at, words in chapter_marks(content))


def clock(seconds: float) -> str:
    """A time as descriptions write it, never later than it is.

    >>> clock(65.9), clock(3725.0)
    ('1:05', '1:02:05')
    """
    whole = int(seconds)
    hours, minutes = divmod(whole // 60, 60)
    return f"{hours}:{minutes:02d}:{whole % 60:02d}" if hours else f"{minutes}:{whole % 60:02d}"
