"""What a kit holds and how much of it, in the few sorts in which somebody who opens it thinks of it."""

from collections.abc import Sequence

from fairtank.publish.kit.facts import ABOUT, LEFT_OUT, MEASURED, REDUCED, RESULT, TRIAL, VALUES, WHOLE, WITHOUT_PLACE, KitFile

PICTURES, TABLES, NUMBERS, READ, DESCRIBED = SORTS = ("photos", "trial", "values", "result", "about")
_SORT_OF = {WHOLE: PICTURES, WITHOUT_PLACE: PICTURES, REDUCED: PICTURES, TRIAL: TABLES, VALUES: NUMBERS, MEASURED: NUMBERS, RESULT: READ,
            ABOUT: DESCRIBED}


def holds(files: Sequence[KitFile]) -> list[tuple[str, int, int]]:
    """How many files of each sort a kit holds, and how large they are together; a sort of which there is none is left out.

    Parameters
    ----------
    files : sequence of KitFile
        All that its list names.

    Returns
    -------
    list of (str, int, int)
        One of SORTS, the number of files, their size [bytes].

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> holds([KitFile("trial.toml", TRIAL, 900, ""), KitFile("photos/a.jpg", REDUCED, 80, ""), KitFile("photos/b.jpg", LEFT_OUT, 0, "")])
    [('photos', 1, 80), ('trial', 1, 900)]
    """
    sizes: dict[str, list[int]] = {sort: [] for sort in SORTS}
    for one in files:
        if one.what != LEFT_OUT:
            sizes[_SORT_OF[one.what]].append(one.size_bytes)
    return [(sort, len(own), sum(own)) for sort, own in sizes.items() if own]
