"""What was written into a kit, in words."""

from collections import Counter
from collections.abc import Sequence

from fairtank.publish.kit.citation import seal_code
from fairtank.publish.kit.facts import LEFT_OUT, REDUCED, REDUCED_PX, WHOLE, WITHOUT_PLACE, KitFacts, KitFile
from fairtank.publish.kit.licences import LICENCES
from fairtank.publish.numbers import shown


def made_words(facts: KitFacts, files: Sequence[KitFile], not_taken: Sequence[str] = ()) -> list[str]:
    """What the kit holds, what became of the photos, the licence, how it is recognised, in sentences.

    Parameters
    ----------
    facts : KitFacts
    files : sequence of KitFile
    not_taken : sequence of str
        Folders inside the trial folder that were left behind.

    Returns
    -------
    list of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    there = sum(one.what != LEFT_OUT for one in files) + 1
    told = [f"The kit holds {there} files.", *_photos(files)]
    if facts.digest_here != facts.inputs_digest:
        told += ["Judged again from the kit, every number of the findings is the same.",
                 f"The digest of the data is another one, since its photos are others: {_short(facts.digest_here)} here, "
                 f"{_short(facts.inputs_digest)} before."]
    told.append(_licence(facts))
    if not seal_code(facts):
        told.append("The plan is not sealed, so nobody can tell from the kit whether it was made before the data came.")
    if not facts.plan.disclosure:
        told.append("Nothing is said about who gave or sold anything for the trial (disclosure in trial.toml). Readers ask it first.")
    if not_taken:
        told.append(f"Left behind, since no trial folder has it: {', '.join(map(shown, not_taken))}.")
    return told


def _short(digest: str) -> str:
    """The beginning of a digest, enough to recognise it by."""
    return f"{digest[:19]}…"


def _photos(files: Sequence[KitFile]) -> list[str]:
    """What became of the photos; each sentence stands here whole, so that it can be told in other languages."""
    counts = Counter(one.what for one in files)
    small, left_out, placeless = counts[REDUCED], counts[LEFT_OUT], counts[WITHOUT_PLACE]
    whole = counts[WHOLE] + placeless
    told = []
    if small:
        told.append(f"1 photo, at most {REDUCED_PX} px along the longer side." if small == 1 else
                    f"{small} photos, each at most {REDUCED_PX} px along the longer side.")
        told.append("The values measured on the originals go along, to the last digit.")
    elif left_out:
        told.append("1 photo left out; it is named with its digest." if left_out == 1 else
                    f"{left_out} photos left out; each is named with its digest.")
        told.append("Their values go along, to the last digit.")
    elif whole:
        told.append("1 photo as measured." if whole == 1 else f"{whole} photos as measured.")
    if placeless:
        told.append("From 1 photo the place was removed; as a file it no longer matches a stamp over the data." if placeless == 1 else
                    f"From {placeless} photos the place was removed; as files they no longer match a stamp over the data.")
    return told


def _licence(facts: KitFacts) -> str:
    if facts.licence not in LICENCES:
        return "Licence: your own words in LICENCE.txt."
    one = LICENCES[facts.licence]
    return f"Licence: {one.name}. {one.short}" if one.address else f"{one.name}: no licence was chosen. {one.short}"
