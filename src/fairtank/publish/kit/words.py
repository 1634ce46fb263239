"""What a check of a kit found, and what became of its photos, in words."""

from collections.abc import Sequence
from dataclasses import dataclass

from fairtank.publish.numbers import shown
from fairtank.publish.phrases import so_many

MOST_NAMED = 20


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
    told = [f"Every file of the kit is as its list says: {so_many(files, 'file')}, each by its length and its SHA-256."]
    if not is_sealed:
        told.append("The trial in it is not sealed. Whoever holds a kit can change a file and the list with it; that this is the kit that "
                    "was "
                    "published shows only when its digest was published with it.")
    return told


def photos_words(reduced: int, left_out: int, placeless: int, strayed: int) -> list[str]:
    """Photos of a kit that a stamp cannot be held against, as sentences.

    reduced, left_out, placeless: how many are smaller, left out, and without the place, all of them with the digest that was stamped in
    the kit's list. strayed: how many have another digest in the list than was stamped.
    """
    told = []
    for count, what in ((reduced, "made smaller for this kit"), (left_out, "left out of this kit"),
                        (placeless, "rid of the place where they were taken")):
        if count:
            verb, its = ("was", "its") if count == 1 else ("were", "their")
            what = what.replace("they were", "it was") if count == 1 else what
            told.append(f"{so_many(count, 'picture')} {verb} {what}; {its} original digest stands in the kit's list and is the one that "
                        "was "
                        "stamped. Whether the picture itself shows the same can only be told from the original.")
    if strayed:
        told.append(f"{so_many(strayed, 'picture')} had another digest before this kit was written than the one that was stamped.")
    return told


def about_photos(changed: Sequence[str], photos: str, longest_px: int) -> str:
    """about-the-photos.txt: what became of photos, by name.

    Parameters
    ----------
    changed : sequence of str
        Photos from which the place was removed.
    photos : str
        `full`, `reduced` or `none`.
    longest_px : int
        Longest side of a reduced photo.

    Returns
    -------
    str
        Empty where nothing became of any.

    References
    ----------
    common_practice (keys from sources.py).
    """
    told = []
    if photos == "reduced":
        told += [f"The photos of this kit are smaller than those that were measured: their longest side has at most {longest_px} px. They "
                 "were "
                 "saved anew, without the place where they were taken. Measured again they give other numbers; the values that were "
                 "measured "
                 "on the originals stand in series.csv, and by them the trial is judged. digests.csv names the digest of each original.",
                 ""]
    if photos == "none":
        told += ["The photos of this trial are left out of this kit. The values that were measured on them stand in series.csv, and by "
                 "them "
                 "the trial is judged. digests.csv names the digest of each photo, so that a photo that you are given can be recognised.",
                 ""]
    if changed:
        told += ["The place where they were taken was removed from these photos, and not one pixel was changed. As files they are others "
                 "now; digests.csv names the digest that each had before.", "", *changed, ""]
    return "\n".join(told)
