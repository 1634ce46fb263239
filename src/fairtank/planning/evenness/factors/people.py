"""Factors of people: whose hands do what, with which tools, how often and for how long."""

from collections import defaultdict

from fairtank.planning.evenness.known import CHORES, Known, shares_told
from fairtank.planning.evenness.told import Told
from fairtank.registry import Tolerance, factor

# Shares of work or of photos that differ by less: a person is ill for a day. Common practice, no source.
LIKE_SHARE_PCT = 20.0


@factor(key="planted_by", title="Who planted", unit="word", tolerance=Tolerance(LIKE_SHARE_PCT), sources=("common_practice",),
        algae=1, plants=2,
        moves="One pair of hands plants deeper, tidier or faster than another.",
        remedy="let one person plant all tanks, or let each plant the same number of each arm")
def planted_by(known: Known) -> tuple[Told, ...]:
    """Whose hands planted."""
    return (*shares_told(known, ((care.unit, care.by) for care in known.care_of("planting")), CHORES), *known.written("planted_by"))


@factor(key="tools", title="Tools", unit="word", sources=("common_practice",), algae=2, plants=1,
        moves="Nets, sponges and scissors carry algae and snails from tank to tank.",
        remedy="give every tank its own set, or clean the set between tanks and go round in an order drawn by lot")
def tools(known: Known) -> tuple[Told, ...]:
    """Own tools or shared ones."""
    return known.written("tools")


@factor(key="hands", title="Who does the daily work", unit="word", tolerance=Tolerance(LIKE_SHARE_PCT), sources=("common_practice",),
        algae=2, plants=1,
        moves="People differ in how they dose, wipe and trim, and in how often they look.",
        remedy="let one person care for all tanks, or let each care for all of them in turn")
def hands(known: Known) -> tuple[Told, ...]:
    """Who does the daily work, by their share of it."""
    work = ((care.unit, care.by) for care in known.care if care.where == CHORES and care.kind != "planting")
    return (*shares_told(known, work, CHORES), *known.written("hands"))


@factor(key="cleaning", title="Wiping and trimming", unit="per week", tolerance=Tolerance(0.25, 0.1), sources=("common_practice",),
        algae=3, plants=2,
        moves="What is wiped off is not counted as algae any more, and what is trimmed is not plant.",
        remedy="wipe and trim all tanks on the same days, after the photos, or none")
def cleaning(known: Known) -> tuple[Told, ...]:
    """How often the glass is wiped and plants are trimmed."""
    done = known.care_of("clean", "trim")
    counts: dict[str, float] = defaultdict(float)
    for care in done:
        counts[care.unit] += 1 / known.weeks
    return (*known.each_unit(counts, done[0].where if done else ""), *known.written("cleaning"))


@factor(key="care_minutes", title="Minutes of care", unit="min a week", tolerance=Tolerance(3.0, 0.2), sources=("common_practice",),
        algae=2, plants=2,
        moves="More minutes are more dead leaves picked and more algae rubbed off, though nobody writes that down.",
        remedy="set a clock for each tank, and care for all of them in an order drawn by lot")
def care_minutes(known: Known) -> tuple[Told, ...]:
    """Minutes of work a week."""
    minutes: dict[str, float] = defaultdict(float)
    for care in known.care:
        if care.minutes is not None:
            minutes[care.unit] += care.minutes / known.weeks
    # a unit whose rows tell no minutes at all is not known, and has not none
    untold = {care.unit for care in known.care if care.where == CHORES} - set(minutes)
    told = tuple(one for one in known.each_unit(minutes, CHORES) if one.unit not in untold)
    return (*told, *known.written("care_minutes"))
