"""What a check of a kit found, and what became of its photos, in words that the terminal and the pages tell.

Each sentence stands here whole, with its number in it or without, so that it can be told in other languages.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.publish.numbers import shown

MOST_NAMED = 20
_NOT_TOLD = "Whether the picture itself shows the same can only be told from the original."


@dataclass(frozen=True)
class KitFault:
    """One way in which a kit is otherwise than its list says. kind: `altered`, `missing`, `added`, `twice` or `list`; reason: for "
      "`list`."""

    kind: str
    file: str
    reason: str = ""


def fault_words(fault: KitFault) -> str:
    """One fault as a sentence.

    >>> fault_words(KitFault("altered", "series.csv"))
    'series.csv was altered after the kit was written.'
    """
    name = shown(fault.file)
    return {
        "altered": f"{name} was altered after the kit was written.",
        "missing": f"{name} is missing: the kit's list names it.",
        "added": f"{name} was added after the kit was written: the kit's list does not name it.",
        "twice": f"{name} stands twice in the kit's list.",
        "list": f"The kit's list of files, {name}, cannot be used: {fault.reason}.",
    }[fault.kind]


def state_words(files: int, faults: Sequence[KitFault], *, is_sealed: bool) -> list[str]:
    """The whole check of a kit's files as sentences, the answer first.

    Parameters
    ----------
    files : int
        How many the list names.
    faults : sequence of KitFault
        What is otherwise.
    is_sealed : bool
        Whether the trial in it is sealed.

    Returns
    -------
    list of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    if faults:
        rest = len(faults) - MOST_NAMED
        told = [fault_words(one) for one in faults[:MOST_NAMED]] + ([f"And {rest} more."] if rest > 0 else [])
        return ["The kit is not as it was written.", *told]
    told = [f"Every file of the kit is as its list says: {files} files, each by its length and its SHA-256."]
    if not is_sealed:
        told.append("The trial in it is not sealed. Whoever holds a kit can change a file and the list with it; that this is the kit "
                    "that was published shows only when its digest was published with it.")
    return told


def photos_words(reduced: int, left_out: int, placeless: int, strayed: int) -> list[str]:
    """Photos of a kit that a stamp cannot be held against, as sentences.

    reduced, left_out, placeless: how many are smaller, left out, and without the place, all of them with the digest that was stamped in
    the kit's list. strayed: how many have another digest in the list than was stamped.
    """
    whats = ((reduced, "1 picture was made smaller for this kit", f"{reduced} pictures were made smaller for this kit"),
             (left_out, "1 picture was left out of this kit", f"{left_out} pictures were left out of this kit"),
             (placeless, "1 picture was rid of the place where it was taken", f"{placeless} pictures were rid of the place where they were "
                                                                             "taken"))
    told = []
    for count, one, many in whats:
        if count == 1:
            told.append(f"{one}; its original digest stands in the kit's list and is the one that was stamped. {_NOT_TOLD}")
        elif count:
            told.append(f"{many}; their original digests stand in the kit's list and are the ones that were stamped. {_NOT_TOLD}")
    if strayed == 1:
        told.append("1 picture had another digest before this kit was written than the one that was stamped.")
    elif strayed:
        told.append(f"{strayed} pictures had other digests before this kit was written than those that were stamped.")
    return told
