"""How a trial is laid out, as far as it matters for what it could show; and the ways in which it could be laid out instead."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from fairtank.errors import DesignError
from fairtank.inference.designs.doses import dose_of
from fairtank.inference.designs.drawn_start import FEWEST_DAYS, FEWEST_STARTS_BOTH_WAYS
from fairtank.inference.designs.two_changes import has_whole_blocks
from fairtank.inference.foresight.spread_parts import Weighing, mean_weighing, slope_weighing, swap_weighing
from fairtank.inference.series.tanks import sharing_of
from fairtank.inference.series.windows import FEWEST_DAYS_FOR_A_MEAN, FEWEST_DAYS_FOR_A_RUN_IN, round_window
from fairtank.trial import MeasureChoice, Plan

RUN_IN_ADDED_D, WEEKS_ADDED_D, WASHOUT_D = 14, 14, 3
MORE_ROUNDS = 2  # an even number, so that the change stays in each tank equally often
STARTS_ONE_WAY, STARTS_BOTH_WAYS = 14, FEWEST_STARTS_BOTH_WAYS
ENOUGH_PER_ARM = 3


@dataclass(frozen=True)
class Layout:
    """One way to lay out a trial.

    kind is one of the plan's. n_reference, n_changed: tanks in the arms (in a swap: in the two orders; in pairs: the number of pairs,
    twice; in rounds and drawn start: 1). first_day, last_day: the days that count after the run-in. builds_up: the summary asks for a
    rate. round_days: how long a round takes; first_day and last_day are then those of a round. arms: with more than two arms, the tanks
    in each, the reference first (n_reference and n_changed are then those of the comparison that is told); doses: in a ladder, that of
    each arm; all_pairs: every arm is compared with every other; blocks: with two changes, whole blocks of four tanks, 0 without.
    """

    kind: str
    n_reference: int
    n_changed: int
    first_day: int
    last_day: int
    run_in: tuple[int, int] | None = None
    builds_up: bool = False
    swap_day: int = 0
    washout_days: int = 0
    start_window: tuple[int, int] | None = None
    rounds: int = 0
    round_days: int = 0
    arms: tuple[int, ...] = ()
    doses: tuple[float, ...] = ()
    all_pairs: bool = False
    blocks: int = 0

    @property
    def tanks(self) -> int:
        """How many tanks stand side by side."""
        return sum(self.arms) or self.n_reference + self.n_changed

    @property
    def smaller_arm(self) -> int:
        """Tanks in the smallest arm."""
        return min(self.arms or (self.n_reference, self.n_changed))

    @property
    def end_day(self) -> int:
        """The last day of the whole trial."""
        return self.rounds * self.round_days - 1 if self.kind == "rounds" else self.last_day

    @property
    def treated_days(self) -> int:
        """Days from the start of the change to the end."""
        return max(self.last_day - self.first_day, 1)


def layout_of(plan: Plan, choice: MeasureChoice) -> Layout:
    """The plan's own layout, for one measure.

    Parameters
    ----------
    plan : Plan
        Units may still be without an arm: they are then dealt evenly.
    choice : MeasureChoice
        Its summary and window count.

    Returns
    -------
    Layout

    Raises
    ------
    DesignError
        If the plan lacks what its kind needs, or its window lies outside the trial.

    References
    ----------
    matthews1990 (keys from sources.py).
    """
    if plan.kind == "rounds":
        first, last = round_window(plan, choice)
        return Layout("rounds", 1, 1, first, last, builds_up=choice.summary == "slope", round_days=plan.round_days or plan.days + 1,
                      rounds=len({unit.round for unit in plan.units if unit.round}))
    first, last = choice.window or (0, plan.days)
    if not 0 <= first <= last <= plan.days:
        raise DesignError(f"The window of {choice.key} is day {first} to day {last}; accepted: a first day not after the last, both from "
                          f"day 0 to day {plan.days}. Correct the window in the plan.")
    start = max(first, plan.run_in_days)
    if start > last:
        raise DesignError(f"The window of {choice.key} ends on day {last}, before the change starts on day {start}. "
                          "Let the window reach beyond the run-in.")
    run_in = (min(first, plan.run_in_days - 1), plan.run_in_days - 1) if choice.summary == "change" and plan.run_in_days else None
    n_reference, n_changed = _arm_sizes(plan)
    layout = Layout(plan.kind, n_reference, n_changed, start, last, run_in, builds_up=choice.summary == "slope")
    if plan.kind == "swap":
        if not start < plan.swap_day <= last - plan.washout_days:
            raise DesignError(f"The swap on day {plan.swap_day} leaves no days before it or after its wash-out. "
                              "Correct swap_day in the plan.")
        return replace(layout, swap_day=plan.swap_day, washout_days=plan.washout_days)
    if plan.kind == "pairs":
        pairs = len({unit.pair for unit in plan.units if unit.pair}) or min(n_reference, n_changed)
        return replace(layout, n_reference=pairs, n_changed=pairs)
    if plan.kind == "drawn_start":
        window = plan.start_window or start_window_in(first, last, plan.expect, builds_up=layout.builds_up)
        if window is None:
            raise DesignError("The plan names no window for the drawn start, and its days are too few for one. "
                              "Set start_window in the plan.")
        return replace(layout, n_reference=1, n_changed=1, start_window=window)
    return _with_arms(layout, plan)


def _with_arms(layout: Layout, plan: Plan) -> Layout:
    """The layout with all its arms, where it has more than two or is a ladder or two changes at once."""
    if len(plan.arms) <= 2 and plan.kind not in ("ladder", "two_changes"):
        return layout
    ordered = sorted(plan.arms, key=lambda arm: arm.role != "reference")
    sizes = _sizes(plan, [arm.key for arm in ordered])
    layout = replace(layout, n_reference=sizes[0], n_changed=min(sizes[1:]), arms=sizes)
    if plan.kind == "ladder":
        doses = tuple(dose_of(plan, arm.key) for arm in ordered)
        if len(set(doses)) < len(doses):
            raise DesignError("In a ladder each arm has a dose of its own. Put the units of one dose into one arm.")
        return replace(layout, doses=doses)
    if plan.kind == "two_changes":
        return replace(layout, blocks=min(sizes) if has_whole_blocks(plan) else 0)
    return replace(layout, all_pairs=plan.compare == "all")


def _arm_sizes(plan: Plan) -> tuple[int, int]:
    """Tanks in the reference arm and in the changed ones together."""
    reference, *changed = _sizes(plan, [arm.key for arm in sorted(plan.arms, key=lambda arm: arm.role != "reference")])
    return reference, sum(changed)


def _sizes(plan: Plan, arms: Sequence[str]) -> tuple[int, ...]:
    """Tanks in each arm; compartments that share water count as one tank, and units without an arm are dealt evenly."""
    if not plan.units:
        raise DesignError("The plan has no units. Name at least one for each arm.")
    if any(unit.arm not in arms for unit in plan.units):
        tanks = len({unit.in_tank for unit in plan.units}) if plan.shared_water else len(plan.units)
        return tuple((tanks + len(arms) - 1 - place) // len(arms) for place in range(len(arms)))
    averaged = sharing_of(plan).averaged
    keys = {(unit.arm, unit.in_tank if averaged else unit.key) for unit in plan.units}
    return tuple(sum(arm == wanted for arm, _ in keys) for wanted in arms)


def weighing_of(layout: Layout) -> Weighing:
    """How the layout's summary weighs the days; for rounds those of one round."""
    first, last = layout.first_day, layout.last_day
    if layout.kind == "swap":
        return swap_weighing(first, layout.swap_day, last, layout.washout_days)
    if layout.builds_up and last > first:
        return slope_weighing(first, last)
    return mean_weighing(first, last, layout.run_in)


def start_window_in(first: int, last: int, expect: str, *, builds_up: bool = False) -> tuple[int, int] | None:
    """A window for a drawn start in the middle of the days, wide enough for the direction; None where there is no room.

    >>> start_window_in(0, 42, "less"), start_window_in(0, 20, "either")
    ((15, 28), None)
    """
    starts, fewest = _starts_and_sides(expect, builds_up)
    spare = last - first + 1 - starts
    begin = first + (spare + 1) // 2
    if begin - first < fewest or last - (begin + starts - 1) + 1 < fewest:
        return None
    return begin, begin + starts - 1


def drawn_start_days(expect: str, *, builds_up: bool = False) -> int:
    """How many days a trial needs, as the number of its last day, for a drawn start to have room.

    >>> drawn_start_days("less"), drawn_start_days("either")
    (22, 29)
    """
    starts, fewest = _starts_and_sides(expect, builds_up)
    return starts + 2 * fewest - 2


def _starts_and_sides(expect: str, builds_up: bool) -> tuple[int, int]:
    """How many starts a window needs, and how many days on either side of each."""
    return STARTS_BOTH_WAYS if expect == "either" else STARTS_ONE_WAY, FEWEST_DAYS["slope" if builds_up else "level"]


def alternatives_to(base: Layout, expect: str) -> tuple[tuple[str, Layout], ...]:
    """Other ways to lay out the trial, each under a key that says what is different; the plan itself comes first.

    Keys: `plan`, `tank` (one more per arm), `three` (three per arm), `two_arms` (the same tanks in two arms), `run_in`, `swap`, `weeks`
    (two more; in rounds `rounds`: two more of them), `tank_run_in` (both), `drawn_start`.

    Parameters
    ----------
    base : Layout
        The plan's own.
    expect : str
        `less`, `more` or `either`: a drawn start needs a wider window to look both ways.

    Returns
    -------
    tuple of (key, Layout)
        Only those that make sense beside the plan.

    References
    ----------
    matthews1990, edgington2007 (keys from sources.py).
    """
    arms = base
    if base.kind in ("rounds", "drawn_start"):
        arms = replace(base, kind="side_by_side", start_window=None, rounds=0, round_days=0)  # of rounds: as long as one of them
    found = [("plan", base), ("tank", _more_tanks(arms, 1))]
    if arms.smaller_arm + 1 < ENOUGH_PER_ARM:
        found.append(("three", _more_tanks(arms, ENOUGH_PER_ARM - arms.smaller_arm)))
    if base.arms:
        found.append(("two_arms", _in_two_arms(base)))
    has_no_run_in = base.kind not in ("swap", "rounds", "drawn_start") and base.run_in is None and not base.builds_up
    if has_no_run_in:
        found.append(("run_in", _with_run_in(base)))
    swapped = None if base.arms else _swapped(arms)
    if base.kind != "swap" and swapped is not None:
        found.append(("swap", swapped))
    found.append(("rounds", replace(base, rounds=base.rounds + MORE_ROUNDS)) if base.kind == "rounds" else ("weeks", _longer(base)))
    if has_no_run_in:
        found.append(("tank_run_in", _with_run_in(_more_tanks(base, 1))))
    if base.arms:
        return tuple(found)
    begin = base.run_in[0] if base.run_in else base.first_day
    window = start_window_in(begin, base.end_day, expect, builds_up=base.builds_up)
    if base.kind != "drawn_start" and window is not None:
        found.append(("drawn_start", Layout("drawn_start", 1, 1, begin, base.end_day, builds_up=base.builds_up, start_window=window)))
    return tuple(found)


def _more_tanks(layout: Layout, count: int) -> Layout:
    return replace(layout, n_reference=layout.n_reference + count, n_changed=layout.n_changed + count,
                   arms=tuple(size + count for size in layout.arms), blocks=layout.blocks + count if layout.blocks else 0)


def _in_two_arms(layout: Layout) -> Layout:
    """The same tanks in two arms, as evenly as can be: in a ladder its lowest and its highest dose, else one change and its reference."""
    kind = "run_in" if layout.run_in else "side_by_side"
    return replace(layout, kind=kind, n_reference=(layout.tanks + 1) // 2, n_changed=layout.tanks // 2, arms=(), doses=(),
                   all_pairs=False, blocks=0)


def _with_run_in(layout: Layout) -> Layout:
    """The same treated days after two weeks in which all tanks are alike."""
    kind = "run_in" if layout.kind == "side_by_side" else layout.kind
    return replace(layout, kind=kind, first_day=layout.first_day + RUN_IN_ADDED_D, last_day=layout.last_day + RUN_IN_ADDED_D,
                   run_in=(layout.first_day, layout.first_day + RUN_IN_ADDED_D - 1))


def _longer(layout: Layout) -> Layout:
    """Two more weeks; a swap moves to the new middle."""
    longer = replace(layout, last_day=layout.last_day + WEEKS_ADDED_D)
    if layout.kind == "swap":
        return replace(longer, swap_day=layout.swap_day + WEEKS_ADDED_D // 2)
    return longer


def _swapped(layout: Layout) -> Layout | None:
    """The same tanks and days with the arms swapped in the middle; None where a half would be too short to be judged."""
    begin = layout.run_in[0] if layout.run_in else layout.first_day
    middle = begin + (layout.last_day - begin + 1) // 2
    if middle - begin - WASHOUT_D < max(FEWEST_DAYS_FOR_A_MEAN, FEWEST_DAYS_FOR_A_RUN_IN // 2):
        return None
    return replace(layout, kind="swap", first_day=begin, run_in=None, builds_up=False, swap_day=middle, washout_days=WASHOUT_D)
