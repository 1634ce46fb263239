"""How even the tanks are, in sentences: what goes along with the arms first, each with its numbers, what it could do, and the remedy."""

from collections.abc import Sequence

from fairtank.planning.evenness.result import ArmValue, Evenness, FactorCheck
from fairtank.publish.arms import ArmLook
from fairtank.publish.numbers import decimals_for, in_a_row, number, shortened, shown, trimmed, with_unit
from fairtank.publish.side_effect_words import side_effect_text

NOTHING_KNOWN = ("Nothing is recorded by which the tanks could be compared: factors.csv, setup.toml, build.csv and readings.csv would "
                 "hold it.")
VERDICT_WORDS = {
    "confounded": "goes with the arms", "side_effect": "side effect", "change": "the change", "crossed": "uneven, dealt evenly",
    "within": "within tolerance", "even": "even", "not_recorded": "not recorded",
}
PERHAPS, ONE_ARM, LEANS, UNCHANGED = "perhaps the change", "known of some", "uneven, leans", "should differ"
# How many factors that go along with the arms have a sentence in full, and how many titles stand in the opening.
MOST_IN_FULL, MOST_TITLES = 8, 6
_PLAIN_UP_TO = 1e7  # numbers of more digits are slips, and are told shortly
# Where to write down what was not recorded, told once.
_WHERE = "factors.csv can hold each of them"
_CROSSED = {"blocks": ", alike inside each block and unlike between blocks", "swap": ", as each tank keeps it in both periods"}


def even_sentences(result: Evenness, looks: dict[str, ArmLook]) -> tuple[str, ...]:
    """The whole result as sentences, in the order in which they matter.

    Parameters
    ----------
    result : Evenness
        The check.
    looks : dict of str to ArmLook
        How each arm is called.

    Returns
    -------
    tuple of str
        What goes along with the arms comes first; what is not recorded is one sentence at the end.

    Examples
    --------
    See `tests/publish/test_even_words.py`, one exact text for each kind.
    """
    told = [opening(result)]
    told += [_unchanged(check, looks) for check in result.unchanged]
    rest = result.with_verdict("confounded")[MOST_IN_FULL:]
    alone = [check for check in told_alone(result) if not any(check is other for other in rest)]
    last = sum(check.verdict == "confounded" for check in alone)
    told += [factor_sentence(check, result, looks) for check in alone[:last]]
    if rest:
        told.append("These go along with the arms too, with less weight or by less: "
                    + ", ".join(f"{inside(check)} ({arms_words(check, looks)})" for check in rest) + ".")
    told += [factor_sentence(check, result, looks) for check in alone[last:]]
    told += _contradictions(result)
    folded = [check for check in result.with_verdict("even", "within") if not check.is_unchanged]
    if folded:
        told.append(f"Even, or within the tolerance: {_titles(folded)}.")
    missing = [check for check in result.with_verdict("not_recorded") if not check.is_lopsided]
    if missing:
        told.append(f"Not recorded: {_titles(missing)}; {_WHERE}.")
    return tuple(told)


def told_alone(result: Evenness) -> tuple[FactorCheck, ...]:
    """The factors that have a sentence of their own, in order; those in which the arms should differ and do not have theirs before."""
    return tuple(check for check in result.checks if not check.is_unchanged
                 and (check.verdict in ("confounded", "side_effect", "change", "crossed") or check.is_lopsided))


def opening(result: Evenness) -> str:
    """What goes along with the arms besides the change, in one sentence."""
    known = [check for check in result.checks if check.verdict != "not_recorded" and (check.values or check.is_worked_out)]
    if not known:
        return NOTHING_KNOWN
    confounded, brought = result.with_verdict("confounded"), result.with_verdict("side_effect")
    perhaps = [check for check in result.with_verdict("change") if check.may_be_the_change]
    told, alike = [], [check for check in result.unchanged if not check.may_be_the_change]
    if alike:
        told.append(f"The arms should differ in {_titles(alike)} and do not: as it stands, the change is not in the tanks.")
    if confounded:
        verb = "goes" if len(confounded) == 1 else "go"
        could = "it" if len(confounded) == 1 else "any of them"
        named = _titles(confounded)
        if len(confounded) > MOST_TITLES + 1:
            named = f"{', '.join(inside(check) for check in confounded[:MOST_TITLES])} and {len(confounded) - MOST_TITLES} more"
        told.append(f"Besides the change, {named} {verb} along with the arms: a difference between the arms could come from "
                    f"{could}.")
    if brought:
        told.append(f"The change brings {_titles(brought)} along with it.")
    if perhaps:
        told.append(f"trial.toml does not say whether {_titles(perhaps)} {'is' if len(perhaps) == 1 else 'are'} the change itself.")
    if not told:
        told.append("Besides the change, nothing that is recorded goes along with the arms.")
    count = len({check.key for check in known})
    return " ".join((*told, f"{count} of {len({check.key for check in result.checks})} factors {'is' if count == 1 else 'are'} known."))


def factor_sentence(check: FactorCheck, result: Evenness, looks: dict[str, ArmLook]) -> str:
    """One factor in full: how it lies to the arms, its numbers, how it could move the measure, and what to do.

    Parameters
    ----------
    check : FactorCheck
        What was found of it.
    result : Evenness
        The whole check.
    looks : dict of str to ArmLook
        How each arm is called.

    Returns
    -------
    str
    """
    numbers = arms_words(check, looks)
    remedy = f"What to do: {check.remedy}."
    if check.verdict == "confounded":
        told = [f"{_name(check)}, which goes along with the arms: {numbers}.", *_nothing_done(check, looks), check.moves, *_asides(check),
                remedy]
    elif check.verdict == "side_effect":
        told = [_side_effect(check, numbers), check.moves, *side_effect_text(check.effects)]
        told += [] if check.effects else [remedy]
    elif check.verdict == "change":
        told = _change(check, numbers)
    elif check.verdict == "crossed" and check.is_leaning:
        told = [f"{_name(check)}, uneven and leaning to one arm, though not clearly along with the arms: {numbers}.",
                check.moves]
    elif check.verdict == "crossed":
        told = [f"{_name(check)}, uneven but dealt evenly to the arms{_CROSSED.get(check.crossed_by, '')}: {numbers}."]
    else:
        told = []
    if check.is_lopsided:
        told.append(_lopsided(check, looks, remedy=not told))
    elif check.values and check.verdict != "not_recorded" and check.recorded < len(result.units):
        told.append(f"It was recorded in {check.recorded} of {len(result.units)} tanks.")
    return " ".join(told)


def _unchanged(check: FactorCheck, looks: dict[str, ArmLook]) -> str:
    """A factor in which the arms should differ and do not: what each arm has, and what to correct."""
    numbers = arms_words(check, looks)
    where = in_a_row(check.where) or "the setup"
    if check.may_be_the_change:
        return (f"{_name(check)}: the words of the plan speak of it, and it is the same in all arms: {numbers}. If it is the change, it is "
                f"missing: give the tanks with the change theirs in {where}, and write change_factors = [\"{check.key}\"] under [trial].")
    return (f"{_name(check)}, which the change is meant to move, is the same in all arms: {numbers}. Before anything is drawn or built, "
            f"correct {where}, or what the plan says the change moves. If the arms differ in another way (such as in the hours of the "
            "day), write that down too.")


def _nothing_done(check: FactorCheck, looks: dict[str, ArmLook]) -> list[str]:
    """Arms of which the diary holds no row where it holds some of another arm."""
    if not set(check.where) & {"chores.csv", "events.csv"}:
        return []
    bare = [looks[arm.arm].letter for arm in check.arms if arm.high == 0 and arm.low == 0]
    return [f"Of arm {in_a_row(bare)} there is no such row: it was not done, or not written down."] if bare and check.unit != "day" else []


def _asides(check: FactorCheck) -> list[str]:
    """What softens a factor that goes along with the arms."""
    told = []
    if check.is_part_seen:
        told.append("The days before the change show part of what it does.")
    if check.may_follow:
        told.append("Part of it may follow from the change itself, as it was read while the trial ran.")
    return told


def _side_effect(check: FactorCheck, numbers: str) -> str:
    cause = f" (“{shown(check.cause)}”)" if check.cause else ""
    if check.is_worked_out:
        return f"{_name(check)}, a side effect of the change{cause}, as worked out from setup.toml; it was not measured."
    return f"{_name(check)}, a side effect of the change{cause} that is not evened out: {numbers}."


def _change(check: FactorCheck, numbers: str) -> list[str]:
    told = f": {numbers}" if numbers else "; what each arm has of it is not recorded"
    if check.is_declared:
        return [f"{_name(check)}, the change itself{told}."]
    if check.may_be_the_change:
        return [f"{_name(check)}: this may be the change itself; trial.toml does not say{told}. If it is, write change_factors = "
                f"[\"{check.key}\"] under [trial]; if it is not, it goes along with the arms. {check.moves}"]
    return [f"{_name(check)}, counted as part of the change, since setup.toml gives “{shown(check.cause)}” to one arm only, though "
            f"change_factors does not name it{told}."]


def _lopsided(check: FactorCheck, looks: dict[str, ArmLook], *, remedy: bool) -> str:
    shares = in_a_row(f"{arm.known} of {arm.units} in arm {looks[arm.arm].letter}" for arm in check.arms)
    subject = f"{_name(check)}," if remedy else "It was"
    return f"{subject} recorded in {shares}: a difference could hide there." + (f" {check.moves}" if remedy else "")


def _contradictions(result: Evenness) -> list[str]:
    """Files that say unlike things of one factor, each in a sentence."""
    told = []
    for check in result.checks:
        for one in check.contradictions:
            part = f" ({shown(one.part)})" if one.part else ""
            unit = "" if check.unit in ("h (clock)", "day") else check.unit
            told.append(f"{check.title}{part}, told in two ways for {in_a_row(shown(unit_key) for unit_key in one.units)}: "
                        f"{with_unit(shortened(one.believed, 60), unit)} by {one.believed_where}, which counts here, and "
                        f"{with_unit(shortened(one.other, 60), unit)} by {one.other_where}.")
    return told


def _name(check: FactorCheck) -> str:
    return f"{check.title} ({shown(check.part)})" if check.part else check.title


def _titles(checks: Sequence[FactorCheck]) -> str:
    """Titles in a row, as they stand inside a sentence."""
    return in_a_row(inside(check) for check in checks)


def inside(check: FactorCheck) -> str:
    """A factor's title inside a sentence: `Water temperature` becomes `water temperature`, abbreviations stay."""
    title = check.title
    return title[:1].lower() + title[1:] if len(title) > 1 and title[1].islower() else title


def arms_words(check: FactorCheck, looks: dict[str, ArmLook]) -> str:
    """What each arm has of a factor: mean and range of numbers, words with how many tanks have them."""
    if check.key == "place":
        return "; ".join(f"{_places(check, arm)} in arm {looks[arm.arm].letter}" for arm in check.arms if arm.known)
    return "; ".join(f"{_arm_words(arm, check)} in arm {looks[arm.arm].letter}" for arm in check.arms if arm.known)


def _places(check: FactorCheck, arm: ArmValue) -> str:
    """The places of an arm's tanks, each once."""
    own = {shown(value) if isinstance(value, str) else trimmed(number(value, 1)) for unit, value in check.values if unit in arm.keys}
    return in_a_row(sorted(own, key=lambda text: (float(text) if text.isdecimal() else 0.0, text)))


def _arm_words(arm: ArmValue, check: FactorCheck) -> str:
    if arm.mean is None or arm.low is None or arm.high is None:
        if not arm.words:
            return "nothing"
        if len(arm.words) == 1:
            word, count = arm.words[0]
            return f"“{shortened(word, 60)}”" + (f" in all {count}" if count > 1 else "")
        named = in_a_row(f"“{shortened(word, 40)}” in {count}" for word, count in arm.words[:4])
        return named + (" and more" if len(arm.words) > 4 else "")
    low, high = (value_words(value, check, with_its_unit=False) for value in (arm.low, arm.high))
    return value_words(arm.mean, check) + ("" if low == high else f" ({low} to {high})")


def value_words(value: float, check: FactorCheck, *, with_its_unit: bool = True) -> str:
    """A number of a factor: a clock time, a day, or rounded to a tenth of the tolerance, with its unit."""
    if check.unit == "h (clock)":
        minutes = round(value * 60) % (24 * 60)
        return f"{minutes // 60:02d}:{minutes % 60:02d}"
    text = trimmed(number(value, max(decimals_for(check.tolerance or 0.1), 0))) if abs(value) < _PLAIN_UP_TO else f"{value:.2g}"
    if check.unit == "day":
        return f"day {text}"
    return with_unit(text, check.unit) if with_its_unit else text


def verdict_words(check: FactorCheck) -> str:
    """The verdict in two or three words, for the matrix."""
    if check.is_unchanged:
        return UNCHANGED
    if check.verdict == "change" and check.may_be_the_change:
        return PERHAPS
    if check.is_lopsided and check.verdict == "not_recorded":
        return ONE_ARM
    if check.verdict == "crossed" and check.is_leaning:
        return LEANS
    return VERDICT_WORDS[check.verdict]
