"""Trial folders with something odd about them, for the tests of the outer door: a plain trial, and ways to change it."""

from collections.abc import Callable
from copy import deepcopy
from pathlib import Path
from typing import Any

Trial = dict[str, Any]
UNITS = ("R1", "R2", "R3", "C1", "C2", "C3")
LEVELS = {"R1": 20.0, "R2": 22.0, "R3": 19.0, "C1": 12.0, "C2": 14.0, "C3": 11.0}


def plain() -> Trial:
    """Three tanks and three, a share read every third day for six weeks and a height read with it."""
    return {
        "trial": {"title": "An odd trial"},
        "design": {"kind": '"side_by_side"', "start": "2026-03-01", "days": 42, "drawn": "true"},
        "arms": [{"key": "R", "role": "reference"}, {"key": "C", "role": "changed"}],
        "units": [{"key": unit, "arm": unit[0]} for unit in UNITS],
        "measures": [{"key": "algae_cover", "role": "primary", "margin": 0.5}, {"key": "canopy_height"}],
        "looks": {},
        "series": [(unit, day, measure, LEVELS[unit] + day / 10 + extra) for measure, extra in (("algae_cover", 0), ("canopy_height", 5))
                   for unit in UNITS for day in range(0, 43, 3)],
        "events": [],
    }


def _written(value: Any) -> str:
    return f'"{value}"' if isinstance(value, str) else str(value)


def _table(head: str, keys: dict[str, Any], *, raw: bool = False) -> str:
    return "\n".join([head, *(f"{key} = {value if raw else _written(value)}" for key, value in keys.items()), ""])


def put(root: Path, trial: Trial) -> Path:
    """The trial as a folder on disk. Values of [design] and [looks] are written as they stand."""
    root.mkdir(parents=True)
    text = _table("[trial]", trial["trial"]) + _table("[design]", trial["design"], raw=True)
    for head, field in (("arm", "arms"), ("unit", "units"), ("measure", "measures")):
        text += "".join(_table(f"[[{head}]]", keys) for keys in trial[field])
    text += _table("[looks]", trial["looks"], raw=True) if trial["looks"] else ""
    (root / "trial.toml").write_text(text, encoding="utf-8")
    rows = "".join(",".join(map(str, row)) + "\n" for row in trial["series"])
    (root / "series.csv").write_text("unit,day,measure,value\n" + rows, encoding="utf-8")
    if trial["events"]:
        rows = "".join(",".join(map(str, row)) + "\n" for row in trial["events"])
        (root / "events.csv").write_text("units,at,until,kind,note,effect\n" + rows, encoding="utf-8")
    return root


def changed(change: Callable[[Trial], Any]) -> Trial:
    """The plain trial after one change."""
    trial = deepcopy(plain())
    change(trial)
    return trial


def keep(test: Callable[[tuple], bool]) -> Callable[[Trial], Any]:
    """Only the rows of series.csv that pass."""
    return lambda trial: trial.update(series=[row for row in trial["series"] if test(row)])


def turn(value_of: Callable[[tuple], Any]) -> Callable[[Trial], Any]:
    """Every row of series.csv with another value."""
    return lambda trial: trial.update(series=[(*row[:3], value_of(row)) for row in trial["series"]])


def add(*rows: tuple) -> Callable[[Trial], Any]:
    """Further rows of series.csv."""
    return lambda trial: trial["series"].extend(rows)


def events(*rows: tuple) -> Callable[[Trial], Any]:
    """Rows of events.csv."""
    return lambda trial: trial["events"].extend(rows)


def design(**keys: Any) -> Callable[[Trial], Any]:
    """Other keys of [design]."""
    return lambda trial: trial["design"].update(keys)


def primary(**keys: Any) -> Callable[[Trial], Any]:
    """Other keys of the primary measure."""
    return lambda trial: trial["measures"][0].update(keys)


def looks(days: str, budget: str) -> Callable[[Trial], Any]:
    """Planned looks, as they are written."""
    return lambda trial: trial.update(looks={"days": days, "budget": budget})


def units(*given: dict[str, Any], days: Callable[[str], range] | None = None) -> Callable[[Trial], Any]:
    """Other units, each with a share that differs a little from the others' on its days."""
    def change(trial: Trial) -> None:
        trial["units"] = list(given)
        trial["measures"] = trial["measures"][:1]
        trial["series"] = [(unit["key"], day, "algae_cover", 10 + number + day / 10) for number, unit in enumerate(given)
                           for day in (days(unit["key"]) if days else range(0, 43, 3))]
    return change


def both(*changes: Callable[[Trial], Any]) -> Callable[[Trial], Any]:
    """Several changes, one after the other."""
    def change(trial: Trial) -> None:
        for one in changes:
            one(trial)
    return change


def arms(*given: dict[str, Any], each: int = 3, **keys: Any) -> Callable[[Trial], Any]:
    """Other arms, so many tanks in each, and other keys of [design]."""
    tanks = [{"key": f"{arm['key']}{number}", "arm": arm["key"]} for arm in given for number in range(1, each + 1)]

    def change(trial: Trial) -> None:
        trial["arms"] = [{"role": "changed" if place else "reference", **arm} for place, arm in enumerate(given)]
        trial["design"].update(keys)
    return both(units(*tanks), change)


def steps(*doses: float, each: int = 3) -> Callable[[Trial], Any]:
    """A ladder of these doses."""
    return arms(*({"key": f"D{place}", "dose": dose} for place, dose in enumerate(doses)), each=each, kind='"ladder"', dose_unit='"mg/L"')


def four_ways(each: int = 3) -> Callable[[Trial], Any]:
    """Two changes at once."""
    ways = (("N", []), ("L", ["light"]), ("G", ["gas"]), ("B", ["light", "gas"]))
    return arms(*({"key": key, "changes": changes} for key, changes in ways), each=each, kind='"two_changes"')


def drawn(first: int, last: int, day: int) -> Callable[[Trial], Any]:
    """Two tanks, and a start that the lot drew."""
    return both(units({"key": "R1", "arm": "R"}, {"key": "C1", "arm": "C"}, days=lambda key: range(43)),
                lambda trial: trial["trial"].update(expect="less"), primary(summary="change"),
                lambda trial: trial["measures"][0].pop("margin"),
                design(kind='"drawn_start"', start_window=f"[{first}, {last}]", drawn_day=day))
