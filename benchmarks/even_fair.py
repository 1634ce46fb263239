"""How often the evenness check calls out a fair trial of which everything is written down, by tanks in each arm and by their scatter.

    python benchmarks/even_fair.py [--trials 150] [--seed 5]

Every factor that is told in numbers scatters around a usual value by so many tolerances; of those told in words one in ten has two or
three words that fall to the tanks at random. The arms are drawn. Nothing is planted, so whatever goes along with the arms is chance.
"""

import argparse
from datetime import date
from pathlib import Path

import numpy as np

from fairtank.factor import FactorValue
from fairtank.planning.evenness.check import evenness
from fairtank.planning.evenness.known import Known
from fairtank.planning.evenness.result import Evenness
from fairtank.registry import entries
from fairtank.trial import Arm, MeasureChoice, Plan, TrialFolder, Unit

USUAL = {"tank_length": 60, "tank_width": 30, "water_level": 32, "water_volume": 50, "lamp_height": 20, "photoperiod": 8, "light_on": 12,
         "light_at_bed": 50, "room_light": 50, "room_temperature": 22, "temperature": 24, "flow": 300, "conductivity": 300, "ph": 6.8,
         "phosphate": 0.5, "planted_on": 0, "started_on": 0, "photo_time": 18, "water_change": 40, "care_minutes": 30, "cleaning": 1}
OTHERWISE, OTHER_WORDS = 10.0, 0.1


def fair_trial(tanks: int, scatter: float, chance: np.random.Generator) -> Evenness:
    """One trial of so many tanks in each arm, checked."""
    arms = (Arm("R", "reference", "as usual"), Arm("C", "changed", "changed"))
    units = tuple(Unit(f"T{place}", arm) for place, arm in enumerate(chance.permutation(list("RC" * tanks)).tolist()))
    plan = Plan("Fair", date(2026, 3, 1), 42, "side_by_side", arms, units, (MeasureChoice("algae_cover", "primary"),), drawn=True)
    told = []
    for entry in entries("factor"):
        middle = float(USUAL.get(entry.key, OTHERWISE))
        words = "A" if chance.random() > OTHER_WORDS else "ABC"[: chance.integers(2, 4)]
        for unit in units:
            value = f"kind {chance.choice(list(words))}" if entry.unit == "word" else \
                middle + scatter * entry.tolerance.of(middle) * float(chance.standard_normal())
            told.append(FactorValue(unit.key, entry.key, value))
    return evenness(Known(TrialFolder(Path("invented"), plan, "sha256:0", factors=tuple(told))))


def main() -> None:
    """Print, for each number of tanks and scatter, the share of factors and of trials that are called out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--trials", type=int, default=150)
    parser.add_argument("--seed", type=int, default=5)
    asked = parser.parse_args()
    chance = np.random.default_rng(asked.seed)
    for tanks in (1, 2, 3, 4, 6):
        for scatter in (1 / 3, 1.0):
            found = [fair_trial(tanks, scatter, chance) for _ in range(asked.trials)]
            counts = [len(one.with_verdict("confounded")) for one in found]
            known = sum(check.verdict != "not_recorded" for one in found for check in one.checks)
            print(f"{tanks} tanks in each arm, scatter {scatter:.2f} tolerances: {sum(counts)} of {known} factors "
                  f"({100 * sum(counts) / known:.2f} %), {sum(count > 0 for count in counts)} of {asked.trials} trials, "
                  f"{sum(counts) / asked.trials:.1f} a trial", flush=True)


if __name__ == "__main__":
    main()
