"""Captions as files: SubRip and WebVTT, from the same captions with the same times."""

from collections.abc import Sequence

from fairtank.publish.video_words.cues import Cue


def srt_text(cues: Sequence[Cue]) -> str:
    """The captions as SubRip.

    Parameters
    ----------
    cues : sequence of Cue

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> print(srt_text([Cue(0.0, 1.5, ("Day 0",))]), end="")
    1
    00:00:00,000 --> 00:00:01,500
    Day 0
    """
    blocks = [f"{number}\n{stamp(cue.start_s, ',')} --> {stamp(cue.end_s, ',')}\n" + "\n".join(map(_plain, cue.lines)) + "\n"
              for number, cue in enumerate(cues, start=1)]
    return "\n".join(blocks)


def vtt_text(cues: Sequence[Cue]) -> str:
    """The captions as WebVTT.

    Parameters
    ----------
    cues : sequence of Cue

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> print(vtt_text([Cue(0.0, 1.5, ("Sand & clay",))]), end="")
    WEBVTT
    <BLANKLINE>
    00:00:00.000 --> 00:00:01.500
    Sand &amp; clay
    """
    blocks = [f"{stamp(cue.start_s, '.')} --> {stamp(cue.end_s, '.')}\n" + "\n".join(_escaped(line) for line in cue.lines) + "\n"
              for cue in cues]
    return "\n".join(["WEBVTT\n", *blocks])


def stamp(seconds: float, point: str) -> str:
    """A time as captions write it.

    >>> stamp(3725.5, ".")
    '01:02:05.500'
    """
    thousandths = round(seconds * 1000)
    minutes, rest = divmod(thousandths, 60_000)
    return f"{minutes // 60:02d}:{minutes % 60:02d}:{rest // 1000:02d}{point}{rest % 1000:03d}"


def _plain(line: str) -> str:
    """An arrow inside a caption would be read as a time."""
    return line.replace("-->", "→")


def _escaped(line: str) -> str:
    return _plain(line).replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
