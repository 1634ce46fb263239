"""What invented tanks are like: how cover grows in them, how far tanks set up alike drift apart, how photos err and go missing."""

import math
from dataclasses import dataclass, replace

from fairtank.errors import InputError, OutOfRangeError

SHAPES = ("normal", "heavy", "skewed")


@dataclass(frozen=True)
class World:
    """Everything that chance may do to a trial; standard deviations on the logit of the covered share. All values are invented.

    start_logit: where cover starts; rate_logit_d: how fast its logit climbs per day, so that cover follows a logistic curve.
    onset_d, onset_sd_d: mean and SD of the day on which growth sets in. ceiling_share: the share that cover never exceeds.
    level_sd: lasting difference of level between like tanks. lasting_rate_sd, period_rate_sd: difference in rate per day that lasts, and
    that is new in every period. again_sd: the same tank set up anew, in rounds. place_sd: what the two of a pair have in common.
    day_sd, phi: wandering of one tank from day to day, and how much of it is left on the next day. room_sd: wandering shared by all tanks.
    photo_sd: one photo's reading. reset_sd: level after a reset. missed_share: tank-days without a photo. gap_share, gap_days: chance and
    length of one gap that all tanks share. shy_share: chance that a tank is not photographed on a day on which it looks clearly worse
    than the others. spread_df: how alike the spreads of different trials are (degrees of freedom, infinite for all the same).
    spread_times: this trial's tanks differ so many times as much. changed_times: those with the change so many times as much again.
    shape: of the differences between tanks. carry_share: how much of an effect on the level outlives the reset of a swap.
    """

    start_logit: float = -3.6
    rate_logit_d: float = 0.085
    onset_d: float = 4.0
    onset_sd_d: float = 2.0
    ceiling_share: float = 0.95
    level_sd: float = 0.5
    lasting_rate_sd: float = 0.010
    period_rate_sd: float = 0.007
    again_sd: float = 0.3
    place_sd: float = 0.0
    day_sd: float = 0.25
    phi: float = 0.8
    room_sd: float = 0.15
    photo_sd: float = 0.12
    reset_sd: float = 0.1
    missed_share: float = 0.08
    gap_share: float = 0.3
    gap_days: int = 5
    shy_share: float = 0.0
    spread_df: float = 8.0
    spread_times: float = 1.0
    changed_times: float = 1.0
    shape: str = "normal"
    carry_share: float = 0.0

    def __post_init__(self) -> None:
        if self.shape not in SHAPES:
            raise InputError("shape", self.shape, ", ".join(SHAPES))
        for name in ("missed_share", "gap_share", "shy_share", "carry_share"):
            if not 0 <= getattr(self, name) <= 1:
                raise OutOfRangeError(name, getattr(self, name), "0 to 1")
        for name in ("ceiling_share", "spread_df", "spread_times", "changed_times"):
            if not getattr(self, name) > 0:
                raise OutOfRangeError(name, getattr(self, name), "above 0")
        for name in (name for name in self.__dataclass_fields__ if "_sd" in name):
            if not 0 <= getattr(self, name) < math.inf:
                raise OutOfRangeError(name, getattr(self, name), "0 or more")
        if not 0 <= self.phi < 1:
            raise OutOfRangeError("phi", self.phi, "from 0 to below 1")


@dataclass(frozen=True)
class Effect:
    """What one whole change does to a tank.

    rate_logit_d: added to the rate per day, so that the effect builds up. level_logit: a lasting shift, reached over a few days:
    fade_d is the time in which all but a third of it has come. 0: at once.
    """

    rate_logit_d: float = 0.0
    level_logit: float = 0.0
    fade_d: float = 3.0

    @property
    def is_none(self) -> bool:
        """Whether it does nothing at all."""
        return self.rate_logit_d == 0 and self.level_logit == 0


NO_EFFECT = Effect()
NEW_TANKS = World()
# Settled tanks: cover stands still but for what chance does.
SETTLED_TANKS = World(start_logit=-1.0, rate_logit_d=0.0, onset_d=0.0, onset_sd_d=0.0, lasting_rate_sd=0.003, period_rate_sd=0.003)
# How far like tanks differ: level, lasting rate, rate of a period.
SPREADS = {"low": (0.2, 0.004, 0.003), "mid": (0.5, 0.010, 0.007), "high": (0.9, 0.018, 0.012)}


def with_spread(world: World, word: str) -> World:
    """The same world with tanks that differ little, middling or much.

    >>> with_spread(NEW_TANKS, "high").level_sd
    0.9
    """
    if word not in SPREADS:
        raise InputError("spread", word, ", ".join(SPREADS))
    level, lasting, period = SPREADS[word]
    return replace(world, level_sd=level, lasting_rate_sd=lasting, period_rate_sd=period)
