"""Small trial folders with ready-made values for tests of several trials: levels are in the measure's own unit."""

import math
import random
from dataclasses import replace
from datetime import date

from fairtank.records.folder import write_folder
from fairtank.trial import Arm, MeasureChoice, Unit
from inference.trials import level, plan_of

DAYS = range(0, 43, 3)


def values_of(middle, count, seed, *, scale="logit", sd=0.2):
    """Levels of like tanks round a middle, scattered on the scale by a seeded generator."""
    chance = random.Random(seed)
    shifts = [chance.gauss(0, sd) for _ in range(count)]
    if scale == "log":
        return [middle * math.exp(shift) for shift in shifts]
    if scale == "identity":
        return [middle + shift for shift in shifts]
    return [100 / (1 + math.exp(-math.log(middle / (100 - middle)) - shift)) for shift in shifts]


def make_kit(root, *, title="One trial", reference=12.0, changed=8.0, seed=1, count=3, start=date(2026, 3, 1), key="algae_cover",
             scale="logit", summary="mean", margin=0.5, label="dimmed", sd=0.2, values=True, window=None, last_day=42, events=(),
             **more):
    """A side-by-side trial of `count` tanks per arm in a folder of its own."""
    choice = MeasureChoice(key, "primary", summary, scale, margin, window)
    plan = replace(plan_of(count, count, choice=choice, **more), title=title, start=start,
                   arms=(Arm("R", "reference", "plain"), Arm("C", "changed", label)))
    levels = {"R": values_of(reference, count, seed, scale=scale, sd=sd), "C": values_of(changed, count, seed + 1000, scale=scale, sd=sd)}
    days = [day for day in DAYS if day <= last_day]
    series = [level(f"{arm}{number + 1}", round(value, 4), days=days, key=key) for arm in "RC" for number, value in enumerate(levels[arm])]
    write_folder(root, plan, series=series if values else (), events=events)
    return root


def make_kits(root, count, **more):
    """So many trials of one question in a folder, a month apart."""
    root.mkdir(parents=True, exist_ok=True)
    return [make_kit(root / f"{'abcdefghij'[place]}-trial", title=f"Trial {place + 1}", seed=place, start=date(2026, place + 1, 1), **more)
            for place in range(count)]


def make_arms(root, arms, middles, *, title, seed=1, start=date(2026, 3, 1), **more):
    """A trial with several arms, three tanks each, round the level of each."""
    units = tuple(Unit(f"{arm.key}{number + 1}", arm.key) for arm in arms for number in range(3))
    choice = MeasureChoice("algae_cover", "primary", "mean", "logit", 0.5)
    plan = replace(plan_of(units=units, choice=choice, **more), title=title, start=start, arms=tuple(arms))
    levels = {arm.key: values_of(middle, 3, seed + place) for place, (arm, middle) in enumerate(zip(arms, middles, strict=True))}
    write_folder(root, plan, series=[level(f"{arm}{number + 1}", round(value, 4), days=DAYS, key="algae_cover")
                                     for arm, values in levels.items() for number, value in enumerate(values)])
    return root


def make_three_arms(root, *, title, labels, seed=1, start=date(2026, 3, 1)):
    """A trial with a reference and two changed arms."""
    arms = (Arm("R", "reference", "plain"), *(Arm(key, "changed", label) for key, label in zip("CD", labels, strict=True)))
    return make_arms(root, arms, (12.0, 8.0, 11.0), title=title, seed=seed, start=start)


def make_two_changes(root, *, title, changes, start=date(2026, 3, 1)):
    """A trial of two changes at once: neither, each, both."""
    arms = (Arm("N", "reference", "plain"), Arm("D", "changed", changes=changes[:1]), Arm("F", "changed", changes=changes[1:]),
            Arm("B", "changed", changes=changes))
    return make_arms(root, arms, (12.0, 8.0, 12.0, 8.0), title=title, start=start, kind="two_changes")


def make_ladder(root, *, title, start=date(2026, 3, 1)):
    """A trial of three doses."""
    arms = (Arm("R", "reference", "none", dose=0.0), Arm("C", "changed", "half", dose=1.0), Arm("D", "changed", "dimmed", dose=2.0))
    return make_arms(root, arms, (12.0, 10.0, 8.0), title=title, start=start, kind="ladder", dose_unit="h")
