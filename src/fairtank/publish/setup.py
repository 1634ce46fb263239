"""What happened in a trial: water tests, events, units and photos that were not used."""

import statistics
from collections import Counter
from collections.abc import Sequence

from fairtank.publish.arms import ArmLook
from fairtank.publish.blocks import Block, Bullets, Heading, Table, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.numbers import NO_BREAK, plain_number, shown, with_unit
from fairtank.publish.phrases import title_words
from fairtank.publish.seal_words import is_change
from fairtank.trial import Event, Reading

QUANTITY_WORDS = {
    "kh": "KH", "gh": "GH", "ph": "pH", "no3": "NO3", "no2": "NO2", "nh3": "NH3", "nh4": "NH4", "po4": "PO4", "fe": "Fe", "k": "K",
    "ca": "Ca", "mg": "Mg", "co2": "CO2", "o2": "O2", "tds": "TDS", "temperature": "temperature", "temp": "temperature",
}
EFFECT_WORDS = {"keep": "kept in the analysis", "exclude_window": "these days left out", "exclude_unit": "tank left out"}


def readings_blocks(content: ReportContent, looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    """Water tests by quantity and arm: how many, their median and their range."""
    readings, plan = content.folder.readings, content.folder.plan
    if not readings:
        return ()
    rows = []
    for quantity, unit in dict.fromkeys((reading.quantity, reading.unit_of_measure) for reading in readings):
        cells = []
        for look in looks.values():
            own = [reading for reading in readings if (reading.quantity, reading.unit_of_measure) == (quantity, unit)
                   and plan.arm_of(reading.unit).key == look.key]
            cells.append(_tests_words(own, unit))
        below = sum(reading.below_detection for reading in readings if (reading.quantity, reading.unit_of_measure) == (quantity, unit))
        rows.append((quantity_words(quantity), *cells, str(below)))
    head = ("Quantity", *(f"Arm {look.letter}" for look in looks.values()), "Below detection")
    return (Heading("Water tests"), Table("Median and range of all tests by arm", head, tuple(rows), numeric=(len(head) - 1,),
                                          wide=tuple(range(1, len(head) - 1))))


def quantity_words(quantity: str) -> str:
    """What a tested quantity is called: `kh` becomes KH; one that is not known is shown as it stands.

    >>> quantity_words("kh"), quantity_words("nitrate")
    ('KH', 'nitrate')
    """
    return QUANTITY_WORDS.get(quantity.strip().lower(), shown(quantity))


def _tests_words(readings: Sequence[Reading], unit: str) -> str:
    """Median and range of an arm's tests; one value only where they all gave the same.

    A test that showed nothing holds its limit, printed as `< 0.05`; so is a median that such tests can only bound from above.
    """
    if not readings:
        return "none"
    ordered = sorted(readings, key=lambda reading: (reading.value, not reading.below_detection))
    low, high = (_test_words(end.value, is_limit=end.below_detection) for end in (ordered[0], ordered[-1]))
    if len(ordered) == 1:
        return f"{with_unit(low, unit)}, 1 test"
    if low == high:
        return f"{with_unit(low, unit)} in all, {len(ordered)} tests"
    median, middle = statistics.median(reading.value for reading in ordered), ordered[(len(ordered) - 1) // 2 : len(ordered) // 2 + 1]
    is_limit = any(reading.below_detection and (reading in middle or reading.value > median) for reading in ordered)
    return f"{_test_words(median, is_limit=is_limit)} ({low} to {with_unit(high, unit)}), {len(ordered)} tests"


def _test_words(value: float, *, is_limit: bool) -> str:
    return f"<{NO_BREAK}{plain_number(value)}" if is_limit else plain_number(value)


def events_blocks(events: Sequence[Event]) -> tuple[Block, ...]:
    """All events in order of their day, with what followed for the analysis."""
    if not events:
        return (Words("No event was recorded."),)
    rows = tuple((event_days(event), shown(", ".join(event.units)) or "all", shown(event.kind), shown(event.note),
                  EFFECT_WORDS.get(event.effect, event.effect))
                 for event in sorted(events, key=lambda event: (event.day_from, event.kind)))
    return (Table("What happened, and what followed from it", ("Day", "Tanks", "What", "Note", "In the analysis"), rows, wide=(3, 4)),)


def spoilt_blocks(content: ReportContent) -> tuple[Block, ...]:
    """Units whose number could not be used, with the reason, by measure."""
    rows = tuple((title_words(finding), shown(unit.unit), shown(unit.spoilt or "")) for finding in content.findings
                 for unit in finding.units if unit.spoilt)
    return (Table("Tanks that could not be used", ("Measure", "Tank", "Why"), rows, wide=(2,)),) if rows else ()


def amended_blocks(content: ReportContent) -> tuple[Block, ...]:
    """What was changed in the plan after it was sealed: by amendments, with their times and reasons, or without one."""
    seal = content.folder.seal
    if seal is None:
        return (Words("Whether the plan was changed cannot be told: it was not sealed."),)
    changed = dict.fromkeys(shown(text) for finding in content.findings for text in finding.cautions if is_change(text))
    if changed:
        return Heading("Amendments to the plan"), Bullets(tuple(changed))
    amended = len(seal.entries) - 1
    return (Words(f"The plan was amended {amended} time{'' if amended == 1 else 's'}; the times and reasons stand beside the seal."
                  if amended else "The plan was not amended after it was sealed."),)


def photos_blocks(content: ReportContent) -> tuple[Block, ...]:
    """Photos that were not used, each with its reason, and a count of the doubtful ones by reason."""
    if not content.qualities:
        return ()
    unused = [quality for quality in content.qualities if quality.quality == "not usable"]
    doubtful = Counter(reason for quality in content.qualities if quality.quality == "doubtful"
                       for reason in quality.reasons or ("No reason given.",))
    carried = " The findings rest on what was measured on other, larger ones." if content.folder.carried else ""
    in_doubt = sum(quality.quality == "doubtful" for quality in content.qualities)
    blocks: list[Block] = [Words(f"{len(content.qualities)} photos were measured; {len(unused)} could not be used and {in_doubt} are "
                                 f"doubtful but were used.{carried}")]
    if unused:
        rows = tuple((str(quality.day), shown(quality.unit), shown(quality.photo), shown(" ".join(quality.reasons))) for quality in
                     sorted(unused, key=lambda quality: (quality.day, quality.unit)))
        blocks.append(Table("Photos that were not used", ("Day", "Tank", "Photo", "Why"), rows, wide=(2, 3), numeric=(0,)))
    if doubtful:
        blocks.append(Table("Doubtful photos by reason", ("Reason", "Photos"),
                            tuple((shown(reason), str(count)) for reason, count in sorted(doubtful.items())),
                            wide=(0,), numeric=(1,)))
    return tuple(blocks)


def event_days(event: Event) -> str:
    """The days of an event, as `5` or `5 to 9`."""
    return str(event.day_from) if event.day_from == event.day_until else f"{event.day_from} to {event.day_until}"
