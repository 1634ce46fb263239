"""What was written into a kit, in words."""

from collections import Counter
from collections.abc import Sequence

from fairtank.publish.kit.citation import seal_code
from fairtank.publish.kit.facts import LEFT_OUT, REDUCED, REDUCED_PX, WHOLE, WITHOUT_PLACE, KitFacts, KitFile
from fairtank.publish.kit.licences import LICENCES
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import so_many


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
    there = [one for one in files if one.what != LEFT_OUT]
    told = [f"The kit holds {so_many(len(there) + 1, 'file')}.", *_photos(facts, files)]
    if facts.digest_here != facts.inputs_digest:
        told.append("Judged again from the kit, every number of the findings is the same. The digest of the data is another one, since its "
                    "photos "
                    f"are others: {_short(facts.digest_here)} here, {_short(facts.inputs_digest)} before.")
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


def _photos(facts: KitFacts, files: Sequence[KitFile]) -> list[str]:
    counts = Counter(one.what for one in files)
    told = []
    if counts[REDUCED]:
        told.append(f"{so_many(counts[REDUCED], 'photo')} at most {REDUCED_PX} px along the longer side; the values measured on the "
                    "originals go "
                    "along in series.csv, to the last digit.")
    elif counts[LEFT_OUT]:
        told.append(f"{so_many(counts[LEFT_OUT], 'photo')} left out, each named with its digest; their values go along in series.csv, to "
                    "the last "
                    "digit.")
    elif counts[WHOLE] or counts[WITHOUT_PLACE]:
        told.append(f"{so_many(counts[WHOLE] + counts[WITHOUT_PLACE], 'photo')} as measured.")
    if counts[WITHOUT_PLACE]:
        told.append(f"From {so_many(counts[WITHOUT_PLACE], 'photo')} the place was removed; as files they no longer match a stamp over the "
                    "data.")
    return told


def _licence(facts: KitFacts) -> str:
    if facts.licence not in LICENCES:
        return "Licence: your own words in LICENCE.txt."
    one = LICENCES[facts.licence]
    return f"Licence: {one.name}. {one.short}" if one.address else f"{one.name}: no licence was chosen. {one.short}"
