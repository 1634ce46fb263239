"""The trials on which the judging is held to its promise: 36 settings, and those in which such promises usually break."""

from dataclasses import dataclass, replace

from fairtank.simulation.trials import NEW_TANKS, SETTLED_TANKS, Effect, World, with_spread
from fairtank.simulation.trials.plans import (
    drawn_start_plan,
    ladder_plan,
    pairs_plan,
    rounds_plan,
    run_in_plan,
    several_arms_plan,
    side_by_side_plan,
    swap_plan,
    two_changes_plan,
)
from fairtank.simulation.trials.world import SPREADS
from fairtank.trial import Looks, Plan

SLOWER = Effect(-0.03)
MAIN, MORE = "main", "more"
STARTS = 21


@dataclass(frozen=True)
class Setting:
    """One kind of trial, with and without an effect.

    group: `main` for the 36, `more` for the others. design, arms, spread, note: what it is, in words. effects: of each change where there
    is one. has_earlier: whether earlier trials may be asked; their tanks differ as NEW_TANKS of the same spread do, whatever this trial's
    own do. is_drawn_start: tank and day are drawn anew for every trial. tries_borrowing: three tanks per arm that are also looked at with
    earlier tanks' help.
    """

    group: str
    design: str
    arms: str
    spread: str
    plan: Plan
    world: World
    effects: tuple[Effect, ...] = (SLOWER,)
    note: str = ""
    has_earlier: bool = False
    is_drawn_start: bool = False
    tries_borrowing: bool = False

    @property
    def key(self) -> str:
        """Its name."""
        return ", ".join(part for part in (self.design, self.arms, self.spread, self.note) if part)


_DESIGNS = {"side by side": side_by_side_plan, "run-in": run_in_plan, "swap": swap_plan}


def main_settings() -> list[Setting]:
    """Three designs, four sizes, three spreads of like tanks; one or two tanks per arm may ask earlier ones."""
    return [Setting(MAIN, design, f"{n}v{n}", spread, plan_of(n, n), with_spread(NEW_TANKS, spread), has_earlier=n < 3)
            for design, plan_of in _DESIGNS.items() for n in (1, 2, 3, 6) for spread in SPREADS]


def _drawn_start(expect: str) -> Setting:
    words = {"less": "looking one way", "either": "looking both ways"}[expect]
    world = replace(SETTLED_TANKS, lasting_rate_sd=0.003, period_rate_sd=0.003)
    return Setting(MORE, "drawn start", "2 tanks", "", drawn_start_plan((14, 13 + STARTS), 20, 1, days=49, expect=expect), world,
                   (Effect(level_logit=-1.0, fade_d=0.0),), note=words, is_drawn_start=True)


def more_settings() -> list[Setting]:
    """Uneven arms, odd tanks, earlier tanks that were not alike, and the other designs."""
    mid = with_spread(NEW_TANKS, "mid")
    skewed = replace(mid, shape="skewed", changed_times=2.0)
    heavy, shy, both = replace(mid, shape="heavy"), replace(mid, shy_share=0.3), (SLOWER, Effect(-0.015))
    skew_words, off_words = "skewed tanks, changed ones differ 2 x as much", "differ 1.5 x as much as the earlier ones"
    found = [Setting(MORE, "side by side", f"{a}v{b}", "mid", side_by_side_plan(a, b), mid, note="uneven arms", has_earlier=min(a, b) < 3)
             for a, b in ((2, 3), (2, 4), (3, 6))]
    found += [Setting(MORE, "side by side", f"{a}v{b}", "mid", side_by_side_plan(a, b), skewed, note=skew_words, has_earlier=min(a, b) < 3)
              for a, b in ((2, 2), (3, 3), (6, 6), (3, 6), (6, 3))]
    found += [Setting(MORE, "side by side", "3v3", "mid", side_by_side_plan(3, 3), heavy, note="heavy tails")]
    found += [Setting(MORE, design, f"{n}v{n}", "mid", plan_of(n, n), replace(mid, spread_times=1.5), note=off_words, has_earlier=True,
                      tries_borrowing=n == 3) for design, plan_of in _DESIGNS.items() for n in (1, 2, 3)]
    found += [Setting(MORE, design, "3v3", "mid", plan_of(3, 3), mid, note="as alike as the earlier ones", has_earlier=True,
                      tries_borrowing=True) for design, plan_of in _DESIGNS.items()]
    found += [Setting(MORE, "side by side", f"{n}v{n}", "mid", side_by_side_plan(n, n), mid, note="no earlier tanks") for n in (1, 2)]
    found += [
        Setting(MORE, "pairs", "4 pairs", "mid", pairs_plan(4), replace(mid, place_sd=0.4)),
        Setting(MORE, "pairs", "8 pairs", "mid", pairs_plan(8), replace(mid, place_sd=0.4)),
        Setting(MORE, "rounds", "4 rounds", "mid", rounds_plan(4), mid),
        Setting(MORE, "rounds", "6 rounds", "mid", rounds_plan(6), mid),
        Setting(MORE, "side by side", "4v4", "mid", side_by_side_plan(4, 4, summary="slope"), mid, note="slope"),
        Setting(MORE, "side by side", "5v5", "mid", replace(side_by_side_plan(5, 5), looks=Looks((21, 31, 41), (0.005, 0.010, 0.035))), mid,
                note="three planned looks"),
        Setting(MORE, "three arms", "4 each", "mid", several_arms_plan([4, 4, 4]), mid, both, note="each with the reference"),
        Setting(MORE, "three arms", "4 each", "mid", several_arms_plan([4, 4, 4], compare="all"), mid, both, note="all pairs"),
        Setting(MORE, "ladder", "4 steps, 2 each", "mid", ladder_plan([0, 5, 10, 20], 2), mid, (Effect(-0.002),)),
        Setting(MORE, "ladder", "4 steps, 3 each", "mid", ladder_plan([0, 5, 10, 20], 3), mid, (Effect(-0.002),)),
        Setting(MORE, "two changes", "3 each", "mid", two_changes_plan(3), mid, both),
        Setting(MORE, "side by side", "6v6", "mid", side_by_side_plan(6, 6), shy, note="photos shunned on bad days"),
        _drawn_start("less"), _drawn_start("either"),
    ]  # fmt: skip
    return found
