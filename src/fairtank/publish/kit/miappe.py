"""MIAPPE 1.2: each field of its checklist with what the trial has for it, or why it has nothing."""

import json
import statistics
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from fairtank.inference.question import title_unit_scale
from fairtank.publish.kit.citation import last_date, seal_code
from fairtank.publish.kit.facts import ABSENT, KitFacts, KitFile
from fairtank.publish.kit.licences import LICENCES
from fairtank.publish.kit.miappe_fields import CANNOT, FIELDS, NO_PLACE, NOTHING, VERSION
from fairtank.trial import Unit

FILLED, MISSING, UNFIT = "filled", "not recorded", "cannot be filled"
DESIGN_WORDS = {
    "side_by_side": "units of all arms side by side", "run_in": "all units alike at first, then side by side",
    "swap": "crossover: the arms change places half-way", "drawn_start": "the unit and the day of the change drawn by lot",
    "pairs": "units in pairs, one of each arm", "rounds": "repeated rounds in the same tanks", "ladder": "a ladder of doses",
    "two_changes": "two changes at once, each with and without the other (2 x 2)",
}  # fmt: skip
_Told = tuple[Any, str]


@dataclass(frozen=True)
class MiappeField:
    """One field. needed: every dataset must have it. state: FILLED, MISSING or UNFIT. value and where it comes from; why: else."""

    section: str
    codename: str
    needed: bool
    state: str
    value: Any = None
    where: str = ""
    why: str = ""


def miappe_fields(facts: KitFacts, files: Sequence[KitFile]) -> tuple[MiappeField, ...]:
    """Every field of the checklist, in its order.

    Parameters
    ----------
    facts : KitFacts
    files : sequence of KitFile
        Of the kit, for the fields about data files.

    Returns
    -------
    tuple of MiappeField

    References
    ----------
    miappe (keys from sources.py).
    """
    told = {**_investigation(facts), **_study(facts), **_person(facts), **_data_files(facts, files), **_material(facts),
            **_environment(facts),
            **_factor(facts), **_events(facts), **_units(facts), **_variables(facts)}
    found = []
    for section, names in FIELDS.items():
        for marked in names:
            name = marked.rstrip("*")
            value, where = told.get((section, name), (None, ""))
            if value not in (None, "", []):
                found.append(MiappeField(section, name, marked != name, FILLED, value, where))
            elif (section, name) in CANNOT:
                found.append(MiappeField(section, name, marked != name, UNFIT, why=CANNOT[section, name]))
            else:
                why = NO_PLACE.get((section, name), NOTHING)
                found.append(MiappeField(section, name, marked != name, MISSING, why=why))
    return tuple(found)


def miappe_counts(fields: Sequence[MiappeField]) -> dict[str, int]:
    """How many fields are filled, not recorded, and cannot be filled; and the same of those that every dataset must have."""
    counts, needed = Counter(one.state for one in fields), Counter(one.state for one in fields if one.needed)
    return {"fields": len(fields), "filled": counts[FILLED], "not_recorded": counts[MISSING], "cannot_be_filled": counts[UNFIT],
            "needed": sum(needed.values()), "needed_filled": needed[FILLED], "needed_not_recorded": needed[MISSING],
            "needed_cannot_be_filled": needed[UNFIT]}


def miappe_text(fields: Sequence[MiappeField]) -> str:
    """miappe.json as text: the counts, then field by field."""
    rows = [{"section": one.section, "codename": one.codename, "needed": one.needed, "state": one.state,
             **({"value": one.value, "from": one.where} if one.state == FILLED else {"why": one.why})} for one in fields]
    document = {"standard": f"MIAPPE {VERSION}", "counts": miappe_counts(fields), "answers": rows}
    return json.dumps(document, ensure_ascii=False, indent=1) + "\n"


def counts_words(fields: Sequence[MiappeField]) -> str:
    """The counts as a sentence."""
    count = miappe_counts(fields)
    return (f"Of the {count['fields']} fields of MIAPPE {VERSION}, {count['filled']} are filled, {count['not_recorded']} were not "
            "recorded, and "
            f"{count['cannot_be_filled']} cannot be filled for tanks; of the {count['needed']} that every dataset must have, "
            f"{count['needed_filled']} are filled.")


def _investigation(facts: KitFacts) -> dict[tuple[str, str], _Told]:
    licence = "All rights remain with the keeper" if facts.licence == "none" else LICENCES[facts.licence].key if facts.licence in LICENCES \
        else "see LICENCE.txt"
    return {("INVESTIGATION", name): told for name, told in {
        "investigationId": (facts.inputs_digest, "the digest over everything that was judged"),
        "investigationTitle": (facts.title, "trial.toml, title"),
        "investigationDescription": (facts.plan.rationale, "trial.toml, rationale"),
        "license": (licence, "LICENCE.txt"), "miappeVersion": (VERSION, "this file")}.items()}


def _study(facts: KitFacts) -> dict[tuple[str, str], _Told]:
    plan = facts.plan
    described = " ".join(part for part in (plan.question, plan.change and f"The change: {plan.change}.",
                                           plan.reference and f"Compared with: {plan.reference}.") if part)
    drawn = "drawn by lot" if plan.drawn else "not drawn by lot, or it was not recorded"
    design = f"{DESIGN_WORDS[plan.kind]}; {len(plan.units)} units in {len(plan.arms)} arms, {drawn}"
    levels = [level for level, is_there in (("block", any(unit.block for unit in plan.units)), ("tank", True),
                                            ("compartment", any(unit.compartment for unit in plan.units))) if is_there]
    chores = sorted({chore.kind.replace("_", " ") for chore in facts.folder.chores_done} | {event.kind for event in facts.folder.events
                                                                                         if event.kind})
    return {("STUDY", name): told for name, told in {
        "studyId": (seal_code(facts) or facts.inputs_digest, "seal.json, the code" if seal_code(facts)
                    else "the digest of what was judged"),
        "studyTitle": (facts.title, "trial.toml, title"), "studyDescription": (described, "trial.toml, question, change and reference"),
        "studyStartDate": (plan.start.isoformat(), "trial.toml, start"), "studyEndDate": (last_date(facts), "trial.toml, start and days"),
        "siteName": (plan.place, "trial.toml, place"), "expeDesignDesc": (design, "trial.toml, [design] and [[unit]]"),
        "obsUnitLevelHierarchy": (">".join(levels), "trial.toml, [[unit]]"),
        "obsUnitDesc": (_tank_words(facts), "setup.toml" if facts.folder.setup else "trial.toml, [[unit]]"),
        "growthFacilityDesc": ("planted aquarium tanks" + (f", {plan.place}" if plan.place else ""), "trial.toml, place"),
        "culturalPractice": ("; ".join(chores), "chores.csv and events.csv"),
        "expeDesignMap": ([f"{unit.key}: {unit.position}" for unit in plan.units if unit.position], "trial.toml, position"),
    }.items()}


def _tank_words(facts: KitFacts) -> str:
    setup, noun = facts.folder.setup, "compartment of a tank" if any(unit.compartment for unit in facts.plan.units) else "tank"
    if setup is None or not setup.tanks:
        return f"A planted aquarium {noun}."
    sizes = sorted({(tank.length_mm, tank.width_mm, tank.height_mm) for tank in setup.tanks})
    told = " or ".join(f"{length / 10:g} x {width / 10:g} x {height / 10:g} cm" for length, width, height in sizes)
    return f"A planted aquarium {noun}; outer size of the tank {told}."


def _person(facts: KitFacts) -> dict[tuple[str, str], _Told]:
    keeper = facts.plan.keeper
    return {("PERSON", "personName"): (keeper, "trial.toml, keeper"),
            ("PERSON", "personRole"): ("keeper of the tanks" if keeper else "", "trial.toml, keeper")}


def _data_files(facts: KitFacts, files: Sequence[KitFile]) -> dict[tuple[str, str], _Told]:
    paths = [one.path for one in files if one.what not in ABSENT and one.path.endswith((".csv", ".toml", "findings.json"))]
    return {("DATA FILE", "dataFileLink"): (paths, "the files of this kit"),
            ("DATA FILE", "dataFileDesc"): ("Each table is described, column by column, in datapackage.json.", "datapackage.json"),
            ("DATA FILE", "dataFileVersion"): (facts.inputs_digest, "the digest over everything that was judged")}


def _material(facts: KitFacts) -> dict[tuple[str, str], _Told]:
    setup = facts.folder.setup
    plants = [setup.material(key) for key in dict.fromkeys(one.material for one in setup.plantings)] if setup else []
    stocks = list(dict.fromkeys(f"{setup.material(one.material).label}: {one.stock.replace('_', ' ')}"
                                for one in setup.plantings)) if setup else []
    batches = [f"{plant.label}: batch {plant.batch}" for plant in plants if plant.batch]
    return {("BIOLOGICAL MATERIAL", "biologicalMaterialId"): ([plant.label for plant in plants], "setup.toml, [[plant]]"),
            ("BIOLOGICAL MATERIAL", "biologicalMaterialPreprocessing"): (stocks, "setup.toml, stock"),
            ("BIOLOGICAL MATERIAL", "materialSourceDesc"): (batches, "setup.toml, batch")}


def _environment(facts: KitFacts) -> dict[tuple[str, str], _Told]:
    setup, pairs = facts.folder.setup, list[tuple[str, str]]()
    for light in setup.light if setup else ():
        pairs += [("light wanted at the bed", f"{light.target_umol:g} µmol m⁻² s⁻¹"), ("light per day", f"{light.hours_per_day:g} h")]
    for water in setup.water if setup else ():
        pairs += [("water temperature", f"{water.temp_c:g} °C"), ("water changed each time", f"{100 * water.change_fraction:g} %")]
        pairs += [(name, f"{value:g} {unit}") for name, value, unit in (("general hardness wanted", water.target_gh_dgh, "dGH"),
                                                                        ("carbonate hardness wanted", water.target_kh_dkh, "dKH"))
                                                                        if value is not None]
    read: dict[tuple[str, str], list[float]] = {}
    for reading in facts.folder.readings:
        read.setdefault((reading.quantity, reading.unit_of_measure), []).append(reading.value)
    pairs += [(quantity, f"{statistics.median(values):g} {unit}".rstrip() + f", median of {len(values)} readings")
              for (quantity, unit), values in sorted(read.items())]
    where = " and ".join(name for name, is_there in (("setup.toml", setup), ("readings.csv", read)) if is_there)
    return {("ENVIRONMENT", "envParam"): ([name for name, _ in pairs], where), ("ENVIRONMENT", "envParamValue"): ([value for _,
                                                                                                                   value in pairs], where)}


def _factor(facts: KitFacts) -> dict[tuple[str, str], _Told]:
    plan = facts.plan
    values = [f"{arm.label} ({arm.dose:g} {plan.dose_unit})" if arm.dose is not None else arm.label for arm in plan.arms]
    return {("EXPERIMENTAL FACTOR", "expeFactorType"): (", ".join(plan.change_factors) or "the change", "trial.toml, change_factors or "
                                                                                                        "change"),
            ("EXPERIMENTAL FACTOR", "expeFactorDesc"): (plan.change, "trial.toml, change"),
            ("EXPERIMENTAL FACTOR", "expeFactorValues"): (values, "trial.toml, [[arm]]")}


def _events(facts: KitFacts) -> dict[tuple[str, str], _Told]:
    events = facts.folder.events
    return {("EVENT", "eventType"): ([event.kind for event in events if event.kind], "events.csv, kind"),
            ("EVENT", "eventDesc"): ([event.note for event in events if event.note], "events.csv, note"),
            ("EVENT", "eventDate"): ([event.at.isoformat() for event in events], "events.csv, at")}


def _units(facts: KitFacts) -> dict[tuple[str, str], _Told]:
    units = facts.plan.units
    arms = {arm.key: arm.label for arm in facts.plan.arms}
    return {("OBSERVATION UNIT", name): told for name, told in {
        "obsUnitId": ([unit.key for unit in units], "trial.toml, [[unit]]"),
        "obsUnitType": (["compartment" if unit.compartment else "tank" for unit in units], "trial.toml, compartment"),
        "spatialDistribution": (list(filter(None, map(_place, units))), "trial.toml, block, position and compartment"),
        "obsUnitFactorValue": ([f"{unit.key}: {arms.get(unit.arm, unit.arm)}" for unit in units], "trial.toml, arm")}.items()}


def _place(unit: Unit) -> str:
    parts = [f"block:{unit.block}" if unit.block else "", f"position:{unit.position}" if unit.position else "",
             f"compartment:{unit.compartment}" if unit.compartment else ""]
    told = "; ".join(part for part in parts if part)
    return f"{unit.key} {told}" if told else ""


def _variables(facts: KitFacts) -> dict[tuple[str, str], _Told]:
    plan = facts.plan
    named = [(one.key, *title_unit_scale(one)[:2]) for one in plan.measures]
    carried = {one.measure for one in facts.folder.carried}
    answered = {one.measure for one in facts.folder.carried if one.eyes is not None}
    given = {series.measure for series in facts.folder.series} - carried
    by_eye = {one.measure for one in facts.folder.scores} | {one.measure for one in facts.folder.pairs} | answered
    read = {reading.quantity for reading in facts.folder.readings}
    ways = {**({key: "photos, measured by fairtank" for key, _, _ in named} if facts.folder.photos else {}),
            **dict.fromkeys(carried, "photos, measured by fairtank"), **dict.fromkeys(read, "water tests and other readings"),
            **dict.fromkeys(by_eye, "people looking at photos"), **dict.fromkeys(given, "values given by the keeper")}
    methods = [f"{key}: {ways[key]}" for key, _, _ in named if key in ways]
    sources = sorted({source for finding in facts.findings for source in finding.sources})
    return {("OBSERVED VARIABLE", name): told for name, told in {
        "variableId": ([key for key, _, _ in named], "trial.toml, [[measure]]"),
        "variableName": ([title for _, title, _ in named], "trial.toml or the list of measures"),
        "traitName": ([title for _, title, _ in named], "trial.toml or the list of measures"),
        "methodName": (methods, "the tables of the trial"), "methodRef": (sources, "results/findings.json, sources"),
        "scaleName": ([f"{key}: {unit}" if unit else f"{key}: a number without a unit" for key, _, unit in named], "trial.toml or the list "
                                                                                                                   "of measures"),
        "timeScale": ("days since the start of the trial, which is day 0", "trial.toml, start"),
        "methodDesc": ([f"{one.measure}: {one.summary} over the days {one.window[0]} to {one.window[1]}, judged on the {one.scale} scale"
                        for one in facts.findings], "results/findings.json"),
    }.items()}
