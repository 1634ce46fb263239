"""A sealed plan in words: what was sealed, what was changed after it, and which smallest difference therefore counts."""

from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any, Protocol

from fairtank.publish.numbers import plain_number, shown
from fairtank.seal import Seal, SealChange, Sealing

CLOSING = "changed after the seal"
AMENDED_EARLY = "amended while nothing was recorded"
# Behind `The` and before `was ... when the plan was sealed`.
_DESIGN = {
    "kind": "kind of trial", "start": "date of day 0", "days": "last day that counts", "run_in_days": "length of the run-in",
    "swap_day": "day of the swap", "washout_days": "length of the wash-out", "round_days": "length of a round",
    "start_window": "span of days in which the start was to be drawn", "drawn_day": "day that was drawn",
    "shared_water": "word on whether compartments share water", "drawn": "word on whether the arms were drawn by lot",
    "seed": "seed of the draw", "blinded": "word on whether people were kept from knowing the arms", "expect": "expectation",
    "compare": "list of arms that are compared", "dose_unit": "unit of the doses",
    "earlier_tanks": "word on whether earlier tanks may help", "tank_litres": "water of one tank [L]",
    "change_factors": "list of factors that the change is meant to move",
}
_ARM = {"role": "role of arm", "name": "name of arm", "dose": "dose of arm", "changes": "list of changes of arm"}
_UNIT = {"arm": "arm of tank", "first_arm": "first arm of tank", "tank": "tank that holds", "compartment": "compartment of",
         "block": "block of tank", "pair": "pair of tank", "round": "round of tank"}
_MEASURE = {"role": "role of", "summary": "summary of", "scale": "scale of", "margin": "smallest difference that matters for",
            "window": "window of", "threshold": "threshold of"}
_LOOKS = {"days": "list of planned looks", "budget": "share of the 5 % of each look"}


class Margin(Protocol):
    """What is asked of a sealed margin: see `records.folder.seal_changes.SealedMargin`."""

    @property
    def measure(self) -> str: ...
    @property
    def margin(self) -> float | None: ...
    @property
    def now(self) -> float | None: ...
    @property
    def why(self) -> str: ...


def change_words(change: SealChange, titles: Mapping[str, str], *, has_data: bool = True) -> str:
    """One change as a sentence that stands among the cautions of every finding.

    Parameters
    ----------
    change : SealChange
        The change.
    titles : mapping
        The measures' titles by key.
    has_data : bool
        Of an amendment: whether anything was recorded when it was made.

    Returns
    -------
    str

    References
    ----------
    common_practice (keys from sources.py).
    """
    when = day_words(change.sealed_at)
    later = "now" if change.amended_at is None else f"in the amendment of {day_words(change.amended_at)}"
    amended = f"{CLOSING}, when there was data already" if has_data else AMENDED_EARLY
    closing = CLOSING if change.amended_at is None else f"{amended}{_reason(change.reason)}"
    if change.kind == "added":
        return f"{_noun(change, titles)} was not in the plan that was sealed on {when} and is {later}: {closing}."
    if change.kind == "left out":
        return f"{_noun(change, titles)} was in the plan that was sealed on {when} and is not {later}: {closing}."
    was, now = value_words(change.was), value_words(change.now)
    return f"The {subject(change, titles)} was {was} when the plan was sealed on {when} and is {now} {later}: {closing}."


def is_change(text: str) -> bool:
    """Whether a sentence tells of a change to a sealed plan, as `change_words` words it."""
    return CLOSING in text or AMENDED_EARLY in text


def _reason(reason: str) -> str:
    return f" (reason given: “{shown(reason)}”)" if reason else ""


def subject(change: SealChange, titles: Mapping[str, str]) -> str:
    """What was changed, as it stands behind `The`."""
    named = {"design": _DESIGN, "arm": _ARM, "unit": _UNIT, "measure": _MEASURE, "looks": _LOOKS}[change.section]
    words = named.get(change.name, f"field {change.name} of")
    if change.section in ("design", "looks"):
        return words.removesuffix(" of")
    return f"{words} {_inside(titles.get(change.key, change.key)) if change.section == 'measure' else shown(change.key)}"


def _noun(change: SealChange, titles: Mapping[str, str]) -> str:
    if change.section == "measure":
        return f"The measure {_inside(titles.get(change.key, change.key))}"
    return f"{'Arm' if change.section == 'arm' else 'Tank'} {shown(change.key)}"


def _inside(title: str) -> str:
    clean = shown(title)
    return clean[:1].lower() + clean[1:] if len(clean) > 1 and clean[1].islower() else clean


def value_words(value: Any) -> str:
    """A value of a plan as people read it.

    >>> value_words(None), value_words([0, 42]), value_words(0.5), value_words(True), value_words("")
    ('not set', '0 to 42', '0.5', 'yes', 'empty')
    """
    if value is None:
        return "not set"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, (int, float)):
        return str(value) if isinstance(value, int) else plain_number(value)
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        if len(value) == 2 and all(isinstance(one, int) for one in value):
            return f"{value[0]} to {value[1]}"
        return ", ".join(value_words(one) for one in value) or "empty"
    return shown(str(value)) or "empty"


def margin_words(margin: Margin, titles: Mapping[str, str]) -> str:
    """Which smallest difference counts, as a sentence."""
    what = f"the smallest difference that matters for {_inside(titles.get(margin.measure, margin.measure))}"
    if margin.why == "rescaled":
        return (f"{what[:1].upper()}{what[1:]} that was sealed belongs to another summary or scale, and one that came after the seal does "
                "not count: none is used.")
    if margin.margin is None:
        return f"None was sealed as {what}, so that of {value_words(margin.now)} does not count: none is used."
    return f"Judged by {what} that was sealed, {value_words(margin.margin)}."


def late_words(seal: Seal) -> list[str]:
    """That the plan was sealed when there was data already; empty where there was none."""
    first = seal.entries[0]
    if not first.has_data:
        return []
    return [f"When the plan was sealed on {day_words(first.at)}, {data_words(first)}: the seal cannot show that the plan came before "
            "the data."]


def data_words(sealing: Sealing) -> str:
    """What had been recorded when a plan was sealed, as half a sentence."""
    if not sealing.has_data:
        return "nothing was recorded yet"
    counted = ((sealing.rows, "value"), (sealing.photos, "photo"))
    parts = [f"{count} {word if count == 1 else word + 's'}" for count, word in counted if count]
    return f"{' and '.join(parts)} {'was' if sealing.rows + sealing.photos == 1 else 'were'} there already"


def day_words(at: datetime) -> str:
    """The day of a time, in UTC."""
    return at.astimezone(UTC).date().isoformat()


def time_words(at: datetime) -> str:
    """A time to the minute, in UTC."""
    return f"{at.astimezone(UTC):%Y-%m-%d %H:%M} UTC"


def code_sentence(code: str) -> str:
    """What to do with the short code, and what a seal is worth without it."""
    return (f"The code is {code}. Show it in a video or post it before the start: a seal that nobody else has seen shows only that this "
            "folder was not changed by accident.")


def sealed_words(seal: Seal) -> str:
    """When a plan was sealed, its code and whether there was data; each amendment behind it."""
    told = [f"{time_words(one.at)}, code {one.code}, {data_words(one)}" for one in seal.entries]
    return "; ".join([told[0], *(f"amended {text} (reason given: “{shown(one.reason)}”)"
                                 for one, text in zip(seal.entries[1:], told[1:], strict=True))])
