"""Results of the evenness check for the tests of this room: made by the check itself from a few invented records."""

from datetime import date, datetime
from pathlib import Path

from fairtank.factor import FactorValue
from fairtank.planning.evenness.check import evenness
from fairtank.planning.evenness.known import Known
from fairtank.planning.evenness.result import Evenness
from fairtank.trial import Arm, Event, MeasureChoice, Plan, Reading, TrialFolder, Unit

ARMS = (Arm("R", "reference", "one"), Arm("C", "changed", "other"))


def result_of(dealt: str, factors: dict[str, list], *, temperatures: list | None = None, events: tuple[Event, ...] = (),
              **given) -> Evenness:
    """The check of T1, T2 ... with these arms and rows of factors.csv; None leaves a unit out."""
    units = tuple(Unit(f"T{index + 1}", arm) for index, arm in enumerate(dealt))
    measures = (MeasureChoice("algae_cover", "primary"),)
    plan = Plan("invented", date(2026, 3, 1), 42, "side_by_side", given.pop("arms", ARMS), units, measures, **given)
    cells = tuple(FactorValue(f"T{index + 1}", key, value) for key, values in factors.items() for index, value in enumerate(values)
                  if value is not None)
    readings = tuple(Reading(f"T{index + 1}", datetime(2026, 3, 5, 18), 4, "temperature", value, "degC")
                     for index, value in enumerate(temperatures or ()))
    return evenness(Known(TrialFolder(Path("nowhere"), plan, "sha256:0", factors=cells, readings=readings, events=events)))


def twelve_by_forty() -> Evenness:
    """Twelve tanks and some forty factors, with long words and long numbers among them."""
    from fairtank.registry import entries

    factors: dict[str, list] = {}
    for index, entry in enumerate(entries("factor")[:44]):
        if entry.unit == "word":
            factors[entry.key] = ["a rather long name of one kind" if (place + index) % 5 else "another kind" for place in range(12)]
        else:
            start, step = (1234.5 + index, 1 / 7) if index % 9 == 0 else (10.5, 1 / 30)
            factors[entry.key] = [start + step * place for place in range(12)]
    return result_of("RRRRRRCCCCCC", factors)
