"""The evenness check: every factor in which units should be alike, and whether a difference goes along with the arms."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from fairtank.planning.evenness.aligned import ROUNDING, Along, numbers_along, order_along, words_along
from fairtank.planning.evenness.change import Change, change_of
from fairtank.planning.evenness.gathering import Gathered, gathered
from fairtank.planning.evenness.known import Known
from fairtank.planning.evenness.layout import Cell, Contrast, Layout, arm_pairs, layout_of
from fairtank.planning.evenness.result import VERDICTS, ArmValue, Evenness, FactorCheck
from fairtank.planning.evenness.told import Value
from fairtank.registry import Entry, Tolerance, entries
from fairtank.trial import Plan

# Numbers that differ by less than this share of the tolerance are told as even.
EVEN_SHARE = 0.05
# A word leans to an arm where the shares of tanks that have it differ by so much. An assumption.
LEANING_SHARE = 0.5
# Verdicts that are each told, where the parts of a factor differ in them.
_TOLD_EACH = ("confounded", "side_effect", "change")
# Factors that growing plants and algae, or the change, move in turn.
_FOLLOW = ("nitrate", "phosphate", "oxygen", "ph", "co2", "conductivity", "kh", "gh", "evaporation", "cleaning", "care_minutes",
           "light_at_bed")


@dataclass(frozen=True)
class _Trial:
    """The trial as every factor is checked against it."""

    known: Known
    layout: Layout
    change: Change
    halves: tuple[Known, ...] = ()

    @cached_property
    def arm_of(self) -> dict[str, str]:
        """Unit -> arm; in a swap the first one."""
        return {unit: cell.arm for cell in self.layout.cells for unit in cell.units}

    @cached_property
    def arms(self) -> tuple[str, ...]:
        """Arms, the reference first."""
        return tuple(arm.key for arm in sorted(self.known.plan.arms, key=lambda arm: arm.role != "reference"))


def evenness(known: Known) -> Evenness:
    """How even the units of a trial are, factor by factor.

    Parameters
    ----------
    known : Known
        The folder and the sheet of its build.

    Returns
    -------
    Evenness
        Ranked: what the change should move and does not first; then what goes along with the arms, by how much it moves the primary
        measure and by how many tolerances; then side effects of the change, what was recorded of one arm only, what is crossed with the
        arms, what is even, what is not recorded.

    References
    ----------
    common_practice, fisher1935 (keys from sources.py).
    """
    plan = known.plan
    trial = _Trial(known, layout_of(plan), change_of(known), _halves(known))
    checks = [check for entry in entries("factor") for check in _checked(entry, trial)]
    if any(check.verdict == "change" for check in checks):  # the change is known: words that speak of something else say nothing more
        checks = [replace(check, is_unchanged=False, may_be_the_change=False) if check.is_unchanged and check.may_be_the_change else check
                  for check in checks]
    checks.sort(key=_rank)
    primary = next((choice.key for choice in plan.measures if choice.role == "primary"), "")
    units = tuple((unit, trial.arm_of[unit]) for arm in trial.arms for unit in known.units if trial.arm_of.get(unit) == arm)
    return Evenness(tuple(checks), units, trial.arms[0] if trial.arms else "", primary, plan.change, plan.kind, plan.change_factors)


def _halves(known: Known) -> tuple[Known, ...]:
    """The two periods of a swap; nothing in other designs."""
    plan = known.plan
    if plan.kind != "swap" or not plan.swap_day:
        return ()
    return known.within(0, plan.swap_day - 1), known.within(plan.swap_day + plan.washout_days, plan.days)


def _rank(check: FactorCheck) -> tuple[int, int, float]:
    place = -1 if check.is_unchanged else VERDICTS.index(check.verdict)
    if check.is_unchanged:
        return place, -check.weight, -check.size
    if (check.is_lopsided or check.is_leaning) and check.verdict not in ("confounded", "side_effect"):
        place = VERDICTS.index("change")
    if check.verdict == "change" and check.is_declared:
        place = VERDICTS.index("change") + 1
    return place, -check.weight, -check.size


def _weight(entry: Entry, plan: Plan) -> int:
    """How much a factor usually moves the primary measure, by what the measure is of."""
    primary = next((choice.key for choice in plan.measures if choice.role == "primary"), "")
    if "alga" in primary or "haze" in primary or "tint" in primary:
        return entry.algae
    if any(word in primary for word in ("plant", "canopy", "carpet", "growth", "leaf", "stem")):
        return entry.plants
    return max(entry.algae, entry.plants)


def _checked(entry: Entry, trial: _Trial) -> list[FactorCheck]:
    """A factor: one entry, or several where its parts lie to the arms in ways that each must be told."""
    known = trial.known
    parts, contradictions = gathered(entry, entry.function(known), known.units)
    blank = FactorCheck(entry.key, entry.title, "" if entry.unit == "word" else entry.unit, "not_recorded", entry.moves, entry.remedy,
                        _weight(entry, known.plan), contradictions=contradictions)
    if not parts:
        return [_worked_out(blank, entry, trial)]
    checks = sorted((_unmoved(_on_purpose(_part_checked(blank, entry, part, trial), trial.change), part, trial) for part in parts),
                    key=lambda check: (VERDICTS.index(check.verdict), -check.size))
    best = checks[0]
    if best.verdict in ("even", "within") and all(part.is_planned for part in parts):  # a target, and not what was reached
        worked_out = _worked_out(blank, entry, trial)
        best = replace(worked_out, recorded=best.recorded) if worked_out.verdict == "side_effect" else best
    others = {check.verdict: check for check in reversed(checks) if check.verdict in _TOLD_EACH and check.verdict != best.verdict}
    return [best, *(replace(check, contradictions=()) for check in others.values())]


def _part_checked(blank: FactorCheck, entry: Entry, part: Gathered, trial: _Trial) -> FactorCheck:
    """One part of a factor: what each arm has, and how it lies to the arms."""
    arms = tuple(_arm_value(arm, part, trial) for arm in trial.arms)
    tolerance = _tolerance(entry, part) if part.numbers else None
    along = _along(entry, part, trial, tolerance)
    unit = part.unit_of_measure if part.unit_of_measure or entry.unit == "word" else entry.unit
    told = replace(blank, unit=unit if part.numbers or entry.unit != "word" else "", values=tuple(part.values.items()), arms=arms,
                   part=part.part, tolerance=tolerance, where=part.where, recorded=len(part.values), is_lopsided=_is_lopsided(arms),
                   deviations=_deviations(part, arms, tolerance, trial))
    sides = [arm for arm in arms if arm.known]
    if len(sides) < 2:
        return told
    spread = max((abs(deviation) for _, deviation in told.deviations), default=0.0) * (1 if part.numbers else 2)
    decided = max(along, key=lambda one: (one.is_aligned, abs(one.difference or 0)), default=None)
    if decided is not None and decided.is_aligned and not _is_crossed_by_swap(part, trial):
        first, last = decided.contrast.sides
        size = abs(decided.difference) / tolerance if decided.difference is not None and tolerance else 1.0
        return replace(told, verdict="confounded", difference=decided.difference, against=first[0], arm=last[0], size=size,
                       is_part_seen=trial.layout.sees_before, may_follow=part.is_dated and entry.key in _FOLLOW)
    if spread > 1 + ROUNDING:
        return replace(told, verdict="crossed", size=spread, crossed_by=_crossed_by(part, trial),
                       is_leaning=_is_leaning(part, along, tolerance, trial))
    return replace(told, verdict="even" if spread <= EVEN_SHARE else "within", size=spread)


def _tolerance(entry: Entry, part: Gathered) -> float:
    """How far tanks may differ in a part; of one that is told in a unit of its own, by its relative share."""
    if part.unit_of_measure not in ("", entry.unit) and entry.unit != "word" and entry.tolerance.relative:
        return Tolerance(0.0, entry.tolerance.relative).of(part.middle)
    return entry.tolerance.of(part.middle)


def _along(entry: Entry, part: Gathered, trial: _Trial, tolerance: float | None) -> list[Along]:
    """How the part lies to every comparison of the plan; in a swap, period by period where it was read in both."""
    layout = trial.layout
    if layout.is_swap and part.is_dated:
        return _along_periods(entry, part, trial, tolerance)
    found = [_one_along(entry, part, layout, contrast, tolerance) for contrast in layout.contrasts]
    counts = Counter(cell.arm for cell in layout.cells)
    if layout.adjusts and not any(one.is_aligned for one in found) and min(counts.values(), default=0) > 1:
        # Of two changes: what one arm of several tanks has alone goes along with neither change, but with that arm.
        apart = replace(layout, contrasts=arm_pairs(trial.known.plan), adjusts=False)
        found += [_one_along(entry, part, apart, contrast, tolerance) for contrast in apart.contrasts if contrast.both_sides(apart.cells)]
    return found


def _one_along(entry: Entry, part: Gathered, layout: Layout, contrast: Contrast, tolerance: float | None) -> Along:
    if entry.key == "place":
        return _place_along(part, layout, contrast, tolerance or 1.0)
    if part.numbers:
        return numbers_along(part.numbers, layout, contrast, tolerance or 0.0)
    return words_along(part.words, layout, contrast)


def _place_along(part: Gathered, layout: Layout, contrast: Contrast, tolerance: float) -> Along:
    """Places in a row: neighbours are as near as two tanks can stand; beyond them it is their order that counts."""
    numbers = part.numbers
    if not numbers:
        return words_along(part.words, layout, contrast, is_dealt=_has_blocks(layout))
    if layout.is_single(contrast):
        own = [numbers[unit] for cell in layout.within(contrast) for unit in cell.units if unit in numbers]
        return Along(contrast, is_aligned=len(own) > 1 and max(own) - min(own) > tolerance)
    return order_along(numbers, layout, contrast, tolerance)


def _has_blocks(layout: Layout) -> bool:
    return any(cell.blocks for cell in layout.cells)


def _along_periods(entry: Entry, part: Gathered, trial: _Trial, tolerance: float | None) -> list[Along]:
    """A swap seen as two trials of the same tanks: in each period every tank has another arm, and is its own block."""
    arms = dict(zip(trial.arms, reversed(trial.arms), strict=True))
    values: dict[str, Value] = {}
    cells = []
    for number, half in enumerate(trial.halves):
        again, _ = gathered(entry, entry.function(half), half.units)
        own = next((one for one in again if one.part == part.part and one.is_dated), None)
        for cell in trial.layout.cells:
            names = tuple(f"{unit}, period {number + 1}" for unit in cell.units)
            cells.append(Cell(names, arms[cell.arm] if number else cell.arm, (f"tank {cell.units[0]}",)))
            for unit, name in zip(cell.units, names, strict=True):
                if own is not None and unit in own.values:
                    values[name] = own.values[unit]
    layout = replace(trial.layout, cells=tuple(cells), is_swap=False)
    if not all(any(unit in values for unit in cell.units) for cell in cells):
        return []
    if part.numbers and all(not isinstance(value, str) for value in values.values()):
        numbers = {unit: float(value) for unit, value in values.items()}
        return [numbers_along(numbers, layout, contrast, tolerance or 0.0) for contrast in layout.contrasts]
    words = {unit: str(value).casefold() for unit, value in values.items()}
    return [words_along(words, layout, contrast) for contrast in layout.contrasts]


def _is_crossed_by_swap(part: Gathered, trial: _Trial) -> bool:
    """Whether the change of places took care of it: it belongs to the tank for the whole time."""
    return trial.layout.is_swap and not part.is_dated


def _is_leaning(part: Gathered, along: Sequence[Along], tolerance: float | None, trial: _Trial) -> bool:
    """Whether one arm has more of it all the same: what the lot may well leave can still move the finding."""
    if _is_crossed_by_swap(part, trial):
        return False
    if part.numbers and any(abs(one.difference or 0.0) > (tolerance or 0.0) * (1 + ROUNDING) for one in along):
        return True
    own = [[unit for unit, allotted in trial.arm_of.items() if allotted == arm and unit in part.values] for arm in trial.arms]
    held = [units for units in own if units]
    if trial.layout.is_swap or len(held) < 2:
        return False
    if part.numbers:
        means = [sum(part.numbers[unit] for unit in units) / len(units) for units in held]
        return any(abs(mean - means[0]) > (tolerance or 0.0) * (1 + ROUNDING) for mean in means[1:])
    if len(set(part.words.values())) == len(part.words):  # a word for each tank, such as a serial number
        return False
    shares = [[sum(part.words[unit] == word for unit in units) / len(units) for units in held] for word in set(part.words.values())]
    return any(abs(share - row[0]) >= LEANING_SHARE for row in shares for share in row[1:])


def _crossed_by(part: Gathered, trial: _Trial) -> str:
    if _is_crossed_by_swap(part, trial):
        return "swap"
    words = part.words if not part.numbers else {unit: f"{value:g}" for unit, value in part.numbers.items()}
    blocks: dict[str, set[str]] = {}
    for cell in trial.layout.cells:
        if cell.blocks:
            blocks.setdefault(cell.blocks[0], set()).update(words[unit] for unit in cell.units if unit in words)
    return "blocks" if len(blocks) > 1 and all(len(own) <= 1 for own in blocks.values()) else "units"


def _arm_value(arm: str, part: Gathered, trial: _Trial) -> ArmValue:
    own = [unit for unit, allotted in trial.arm_of.items() if allotted == arm]
    known = [unit for unit in own if unit in part.values]
    if part.numbers and known:
        numbers = [part.numbers[unit] for unit in known]
        return ArmValue(arm, len(known), len(own), tuple(known), sum(numbers) / len(numbers), min(numbers), max(numbers))
    counts = Counter(part.words[unit] for unit in known)
    shown = {part.words[unit]: str(part.values[unit]) for unit in reversed(known)}
    return ArmValue(arm, len(known), len(own), tuple(known), words=tuple((shown[word], count) for word, count in counts.most_common()))


def _is_lopsided(arms: Sequence[ArmValue]) -> bool:
    """Whether the shares of known units differ so much between the arms that a difference could hide there."""
    shares = [arm.known / arm.units for arm in arms if arm.units]
    return bool(shares) and max(shares) > 0 and (min(shares) == 0 or max(shares) - min(shares) >= 0.5)


def _deviations(part: Gathered, arms: Sequence[ArmValue], tolerance: float | None, trial: _Trial) -> tuple[tuple[str, float], ...]:
    """How far each unit is from the middle of the reference arm, in tolerances; of words, whether it has the usual one there."""
    reference = [unit for unit, arm in trial.arm_of.items() if arm == arms[0].arm and unit in part.values] or list(part.values)
    if part.numbers:
        ordered = sorted(part.numbers[unit] for unit in reference)
        middle = (ordered[(len(ordered) - 1) // 2] + ordered[len(ordered) // 2]) / 2
        scale = tolerance or 1.0
        return tuple((unit, (value - middle) / scale) for unit, value in part.numbers.items())
    usual = Counter(part.words[unit] for unit in reference).most_common(1)[0][0]
    return tuple((unit, float(word != usual)) for unit, word in part.words.items())


def _on_purpose(check: FactorCheck, change: Change) -> FactorCheck:
    """A factor that goes along with the arms because it is the change, or comes along with it."""
    effects = change.expected(check.key)
    if check.verdict != "confounded":
        return replace(check, effects=effects if check.key in change.brought else ())
    if check.key in change.declared:
        return replace(check, verdict="change", is_declared=True)
    if check.key == "doses" and (along := change.partner(check.part)):
        return replace(check, verdict="side_effect", cause=along[0].cause, effects=along)
    if check.key in change.marked:
        return replace(check, verdict="change", cause=change.marked[check.key], may_be_the_change=not change.declared)
    if check.key in change.brought:
        return replace(check, verdict="side_effect", cause=_cause(change.brought[check.key]), effects=effects)
    if not change.declared and check.key in change.spoken:
        return replace(check, verdict="change", may_be_the_change=True)
    return check


def _unmoved(check: FactorCheck, part: Gathered, trial: _Trial) -> FactorCheck:
    """A factor that the change is meant to move and in which the arms are alike; what days of the trial tell may precede the change."""
    change, known = trial.change, [arm for arm in check.arms if arm.known]
    if check.verdict not in ("even", "within", "crossed") or part.is_dated or len(known) < 2:
        return check
    if check.verdict == "crossed" and _is_crossed_by_swap(part, trial):
        return check
    if check.key in change.declared:
        return replace(check, is_unchanged=True)
    is_elsewhere = change.declared or change.marked or change.has_device
    return check if is_elsewhere or check.key not in change.spoken else replace(check, is_unchanged=True, may_be_the_change=True)


def _cause(name: str) -> str:
    """What brings a side effect, for readers: a factor by its title, a line of the setup by its own name."""
    return next((entry.title for entry in entries("factor") if entry.key == name), name)


def _worked_out(blank: FactorCheck, entry: Entry, trial: _Trial) -> FactorCheck:
    """A factor that nobody recorded: the change, or a side effect of it that follows from the setup, or not known at all."""
    change = trial.change
    if blank.key in change.declared:
        return replace(blank, verdict="change", is_declared=True)
    effects = change.expected(blank.key)
    units = {effect.unit for effect in effects}
    sides = {trial.arm_of[unit] for unit in units if unit in trial.arm_of}
    if not effects or blank.key not in change.brought or len(sides) == len(trial.arms):
        return blank
    largest = max(abs(effect.amount) for effect in effects)
    tolerance = entry.tolerance.absolute
    is_small = effects[0].unit_of_measure == entry.unit and largest <= tolerance
    shares = [abs(effect.share) for effect in effects if effect.share is not None]
    if is_small or (shares and entry.tolerance.relative and max(shares) <= entry.tolerance.relative):
        return blank
    return replace(blank, verdict="side_effect", effects=effects, cause=effects[0].cause, is_worked_out=True,
                   size=largest / tolerance if tolerance else 1.0)
