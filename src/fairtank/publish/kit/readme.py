"""README.md of a kit: what it holds, how to check it, how to repeat the trial, in plain words."""

from collections import Counter
from collections.abc import Sequence

from fairtank.publish.kit.citation import seal_code
from fairtank.publish.kit.facts import ABSENT, LEFT_OUT, MEASURED, REDUCED, REDUCED_PX, WHOLE, WITHOUT_PLACE, KitFacts, KitFile
from fairtank.publish.kit.licences import LICENCES
from fairtank.publish.kit.miappe import MiappeField, counts_words
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import plain_text, so_many
from fairtank.publish.sentences import sentence


def readme_text(facts: KitFacts, files: Sequence[KitFile], fields: Sequence[MiappeField]) -> str:
    """The text that comes first.

    Parameters
    ----------
    facts : KitFacts
    files : sequence of KitFile
        Of the kit.
    fields : sequence of MiappeField
        Of miappe.json.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).
    """
    parts = [f"# {shown(facts.title)}", *_found(facts), "## What this is", _about(facts), *_inside(facts, files, fields), "## How to check "
                                                                                                                          "it",
             *_check(facts), "## How to repeat it", *_repeat(), "## Licence", _licence(facts), ""]
    return "\n\n".join(part for part in parts if part is not None).rstrip("\n") + "\n"


def _found(facts: KitFacts) -> list[str]:
    told = [shown(facts.plan.question)] if facts.plan.question else []
    return [*told, *(f"**{plain_text(sentence(one))}**" for one in facts.findings if one.role == "primary")]


def _about(facts: KitFacts) -> str:
    who = f" It was kept by {shown(facts.plan.keeper)}." if facts.plan.keeper else ""
    repeated = f" It repeats another trial: {shown(facts.plan.repeats)}." if facts.plan.repeats else ""
    return ("A kit: one trial of planted tanks with everything that somebody else needs to look at it, to judge it again and to do it "
            "again. "
            f"All tables are text that any spreadsheet opens.{who}{repeated}")


def _inside(facts: KitFacts, files: Sequence[KitFile], fields: Sequence[MiappeField]) -> list[str]:
    counts = Counter(one.what for one in files)
    there = {one.path for one in files if one.what not in ABSENT}
    rows = [("trial.toml", "the plan: question, arms, units, measures, days"), ("seal.json", "the plan as it was fixed, with every later "
                                                                                             "change"),
            ("stamps/", "lists of the data as they were at a time"), ("draw.json", "how the lot chose the arms"),
            ("setup.toml", "what was to be built"), ("build.csv", "what each tank received, planned and weighed"),
            ("photos.csv", "every photo with its tank and its time"), ("readings.csv", "water tests and other readings"),
            ("events.csv", "what happened, and what followed from it"), ("series.csv", "values of each tank, day by day"),
            ("results/", "what was worked out: the findings, and values of photos and a report where they were made"), ("as-measured/",
                                                                                                                        "tables and "
                                                                                                                        "strokes as they "
                                                                                                                        "were with the "
                                                                                                                        "photos"),
            ("datapackage.json", "each table described, column by column (Data Package)"),
            ("ro-crate-metadata.json", "the same for archives (RO-Crate)"), ("miappe.json", "what it says of the fields of MIAPPE"),
            ("digests.csv", "length and SHA-256 of every file"), ("software.json", "the software that made the numbers"),
            ("CITATION.cff", "how to cite it"), ("LICENCE.txt", "what you may do with it")]
    told = [f"| `{path}` | {what} |" for path, what in rows if path in there or any(one.startswith(path) for one in there
                                                                                    if path.endswith("/"))]
    return ["## What it holds", "\n".join(["| file | what it holds |", "|---|---|", *told]), _photos(facts, counts), counts_words(fields)]


def _photos(facts: KitFacts, counts: Counter[str]) -> str:
    photos = counts[WHOLE] + counts[WITHOUT_PLACE] + counts[REDUCED] + counts[LEFT_OUT]
    if not photos:
        return "There are no photos in this trial: its values came from elsewhere."
    if facts.photos == "none":
        answered = any(one.eyes is not None for one in facts.folder.carried)
        return (f"The {so_many(photos, 'photo')} of this trial are left out; `digests.csv` names the digest of each. The values that were "
                "measured on them stand in `series.csv`, to the last digit, so that the findings come out the same."
                + (" What people scored or chose stands in `as-measured/`, answer by answer, each with the name of its photo." if answered
                   else ""))
    if facts.photos == "reduced":
        return (f"The {so_many(photos, 'photo')} are smaller than those that were measured: at most {REDUCED_PX} px along the longer side. "
                "Measured again they give other numbers; the values that were measured on the originals stand in `series.csv`, to the last "
                "digit, so that the findings come out the same." + (" The tables and strokes that fit the originals lie in `as-measured/`."
                                                                  if counts[MEASURED] else ""))
    place = "" if not counts[WITHOUT_PLACE] else (f" From {counts[WITHOUT_PLACE]} of them the place where they were taken was removed, and "
                                                  "not one "
                                                  "pixel was changed.")
    return f"All {so_many(photos, 'photo')} are there as they were measured.{place}"


def _check(facts: KitFacts) -> list[str]:
    code = seal_code(facts)
    sealed = ("The plan is not sealed: that it was made before the data came rests on the keeper's word." if not code else
              f"The plan is sealed; the code of the seal is **{code}**. Where it was shown or posted before the trial began, a later "
              "change of the plan has another code."
              + (" It was sealed when there was data already." if facts.folder.seal and facts.folder.seal.entries[0].has_data else ""))
    return ["KIT.zip stands here for the file that you were given.",
            "`fairtank verify KIT.zip` holds every file against `digests.csv` and the data against the seal, and names what was altered, "
            "is "
            "missing or was added.", "`fairtank import KIT.zip` puts it onto your shelf, where it is judged again. The numbers must be "
                                     "those of "
            f"`results/findings.json`; they were worked out from {facts.inputs_digest}" +
            ("." if facts.digest_here == facts.inputs_digest else f", and this kit gives {facts.digest_here}, because its photos are "
                                                                  "others."),
            sealed, "`software.json` says which fairtank, and which libraries, made these numbers."]


def _repeat() -> list[str]:
    return ["`fairtank repeat KIT.zip my-trial --tank 60x30x36 --glass 6` makes a plan of your own from it: the same question, the same "
            "arms, "
            "measures and days, with every quantity reckoned anew for your glass. Which tank gets which arm is drawn by lot again.",
            "Mains and water, CO2, glass under load and chemicals can hurt. Keep to the rules where you live, and leave wiring, stands and "
            "gas to "
            "people who are licensed for it."]


def _licence(facts: KitFacts) -> str:
    if facts.licence not in LICENCES:
        return "See `LICENCE.txt`, which holds the keeper's own words."
    one = LICENCES[facts.licence]
    return f"{one.name}{f' ({one.key}, {one.address})' if one.address else ''}. {one.short}"
