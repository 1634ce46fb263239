"""Ways to lay out the trial with the tanks, weeks and money at hand, as proposals; what each could show is worked out elsewhere."""

from dataclasses import dataclass

from fairtank.planning.wizard.step import Choice, Told
from fairtank.planning.wizard.steps_question import is_built_in

RUN_IN_DAYS, FEWEST_RUN_IN_DAYS, WASHOUT_DAYS = 14, 10, 3
FEWEST_DAYS_AFTER = 14
FEWEST_PAIRS_TANKS = 6
# A drawn start looks one way from 14 possible days on and both ways from 21; a level needs 5 days on either side, a slope 7.
STARTS_ONE_WAY, STARTS_BOTH_WAYS = 14, 21
DAYS_BESIDE = {"at_once": 5, "builds_up": 7}
MOST_TANKS = 24

_WORDS = {
    "side_by_side": "side by side from the first day",
    "run_in": "first alike, then the change",
    "swap": "change places half-way",
    "pairs": "in pairs of neighbours",
    "drawn_start": "two tanks, the lot draws tank and day",
}
_TOLD = {
    "side_by_side": "The plain way. Whatever else differs between the tanks stays in the comparison.",
    "run_in": "All tanks are alike for the first days, and each is held against itself. That takes lasting differences out.",
    "swap": "Every tank has both. For what passes quickly; at the swap all tanks are cleaned or trimmed. Not for roots or beds.",
    "pairs": "Tanks that stand together differ less: one of each pair gets the change.",
    "drawn_start": "Both run alike, and one day one of them gets the change. It speaks of these two tanks, and exactly.",
}  # fmt: skip


@dataclass(frozen=True)
class Proposal:
    """One way to lay out the trial: kind as in trial.toml and how many tanks; key is how it is kept among the answers."""

    kind: str
    tanks: int
    extra: int = 0

    @property
    def key(self) -> str:
        """The kind and the tanks in one word."""
        return f"{self.kind}_{self.tanks}"

    @property
    def words(self) -> str:
        """What it is, in a few words."""
        more = f", {self.extra} more {'tank' if self.extra == 1 else 'tanks'}" if self.extra else ""
        return f"{_WORDS[self.kind]}{more}"


def last_day(told: Told) -> int:
    """The number of the last day that counts."""
    return int(told.number("weeks", 6)) * 7


def proposals(told: Told) -> tuple[Proposal, ...]:
    """The ways that are open with what was answered, the plain one first.

    What is in the tank from the start (a bed, the plants' stock) cannot begin later; what builds up is told by its slope, which neither a
    run-in nor a swap is judged by.

    Parameters
    ----------
    told : Told
        With tanks, weeks and money answered.

    Returns
    -------
    tuple of Proposal
        Never empty.

    References
    ----------
    matthews1990, edgington2007 (keys from sources.py).

    Examples
    --------
    >>> [one.key for one in proposals(Told({"tanks": 2, "weeks": 6}))]
    ['side_by_side_2', 'run_in_2', 'swap_2', 'drawn_start_2']
    """
    tanks, days = max(int(told.number("tanks", 2)), 2), last_day(told)
    counts = [(tanks, 0)]
    extra = affordable(told)
    if extra:
        counts.append((tanks + extra, extra))
    found = [Proposal("side_by_side", count, more) for count, more in counts]
    can_begin_later, soon = not is_built_in(told), told.text("course") != "builds_up"
    if can_begin_later and soon and days >= FEWEST_RUN_IN_DAYS + FEWEST_DAYS_AFTER:
        found += [Proposal("run_in", count, more) for count, more in counts]
    if can_begin_later and soon and days >= 2 * FEWEST_DAYS_AFTER:
        found.append(Proposal("swap", tanks))
    if tanks % 2 == 0 and tanks >= FEWEST_PAIRS_TANKS:
        found.append(Proposal("pairs", tanks))
    if can_begin_later and tanks <= 3 and start_window(told) is not None:
        found.append(Proposal("drawn_start", 2))
    return tuple(found)


def affordable(told: Told) -> int:
    """How many more tanks the money buys, in even numbers so that the arms stay equal; 0 where nothing was said of it."""
    cost, tanks = told.number("tank_cost"), int(told.number("tanks", 2))
    if cost <= 0:
        return 0
    more = min(int(told.number("money") // cost), MOST_TANKS - tanks)
    return more - (tanks + more) % 2 if more > 0 else 0


def start_window(told: Told) -> tuple[int, int] | None:
    """First and last day from which a start may be drawn, in the middle of the trial; None where there is no room.

    >>> start_window(Told({"weeks": 6, "expect": "less"}))
    (15, 28)
    """
    starts = STARTS_BOTH_WAYS if told.text("expect") == "either" else STARTS_ONE_WAY
    beside = DAYS_BESIDE.get(told.text("course"), DAYS_BESIDE["at_once"])
    last = last_day(told)
    begin = (last + 1 - starts + 1) // 2
    return (begin, begin + starts - 1) if begin >= beside and last - (begin + starts - 1) + 1 >= beside else None


def proposed_design(told: Told) -> str:
    """The key of the way that is proposed.

    Two tanks: a drawn start, the only way in which two tanks carry an interval of their own. More: a run-in where the change can begin
    later, else side by side.
    """
    open_now = proposals(told)
    tanks = int(told.number("tanks", 2))
    order = ("drawn_start", "side_by_side") if tanks < 4 else ("run_in", "side_by_side")
    for kind in order:
        found = next((one for one in open_now if one.kind == kind and not one.extra), None)
        if found is not None:
            return found.key
    return open_now[0].key


def design_choices(told: Told) -> tuple[Choice, ...]:
    """The proposals as answers."""
    return tuple(Choice(one.key, one.words, _TOLD[one.kind]) for one in proposals(told))


def chosen(told: Told) -> Proposal:
    """The proposal that was chosen; before that, the one that is proposed."""
    wanted = told.text("design") or proposed_design(told)
    return next((one for one in proposals(told) if one.key == wanted), proposals(told)[0])


def units_of(told: Told) -> tuple[str, ...]:
    """The keys of the units: T1, T2 and so on."""
    return tuple(f"T{number}" for number in range(1, chosen(told).tanks + 1))
