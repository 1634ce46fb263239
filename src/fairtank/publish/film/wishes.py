"""What the keeper may choose of a film."""

from dataclasses import dataclass

from fairtank.errors import InputError

SHAPES = {"wide": (16, 9), "tall": (9, 16), "square": (1, 1)}
# Short side of the picture. [px]
SIZES = {"1080p": 1080, "4k": 2160}
FORMATS = ("mp4", "webm")
SHOWN, AT_THE_END, NEVER = "shown", "at the end", "never"
ARMS = (SHOWN, AT_THE_END, NEVER)
BY_PLAN, BY_ARM = "plan", "arm"
ORDERS = (BY_PLAN, BY_ARM)
MOST_UNITS = 6
FEWEST_SECONDS_PER_DAY, MOST_SECONDS_PER_DAY = 0.1, 5.0


@dataclass(frozen=True)
class FilmWishes:
    """A film as it is wished for.

    shape: one of SHAPES. size: one of SIZES. form: one of FORMATS. arms: one of ARMS, whether and when the tanks' arms are named; until
    then each tank is called by a code. order: one of ORDERS; empty for by arm where the arms are shown, else as in the plan. units: keys of
    the tanks that are shown; empty for all. seconds_per_day: how long a day is shown; None for what is usual. captions: whether the diary's
    events are told. date: whether the date stands beside the day. curve: whether the primary measure's curve grows along. cards: whether
    the question stands before and the finding behind the days. seal_line: whether a small line tells the plan's seal.
    frames_per_second: 24 to 60. short_side_px: another size than `size` says, even, for tests and small previews; 0 for none.
    """

    shape: str = "wide"
    size: str = "1080p"
    form: str = "mp4"
    arms: str = SHOWN
    order: str = ""
    units: tuple[str, ...] = ()
    seconds_per_day: float | None = None
    captions: bool = True
    date: bool = False
    curve: bool = True
    cards: bool = True
    seal_line: bool = True
    frames_per_second: int = 30
    short_side_px: int = 0

    @property
    def size_px(self) -> tuple[int, int]:
        """Width and height of the film. [px]"""
        across, down = SHAPES[self.shape]
        short = self.short_side_px or SIZES[self.size]
        return short * across // min(across, down) // 2 * 2, short * down // min(across, down) // 2 * 2

    @property
    def name(self) -> str:
        """The film's file name without its ending."""
        size = f"{self.short_side_px}px" if self.short_side_px else self.size
        return f"film-{self.shape}-{size}"


def wishes_check(wishes: FilmWishes) -> None:
    """Refuse wishes that cannot be met.

    Parameters
    ----------
    wishes : FilmWishes

    Raises
    ------
    InputError
        That names the wish, what was given and what is accepted.
    """
    for name, value, known in (("The shape of the film", wishes.shape, tuple(SHAPES)), ("The size of the film", wishes.size, tuple(SIZES)),
                               ("The file of the film", wishes.form, FORMATS), ("The arms in the film", wishes.arms, ARMS),
                               ("The order of the tanks", wishes.order or BY_PLAN, ORDERS)):
        if value not in known:
            raise InputError(name, value, f"{', '.join(known[:-1])} or {known[-1]}")
    if wishes.order == BY_ARM and wishes.arms != SHOWN:
        raise InputError("The order of the tanks", "arm, while the arms are hidden", "plan",
                         "Standing together, the tanks of an arm would give away what is hidden.")
    seconds = wishes.seconds_per_day
    if seconds is not None and not FEWEST_SECONDS_PER_DAY <= seconds <= MOST_SECONDS_PER_DAY:
        raise InputError("Seconds for each day", seconds, f"{FEWEST_SECONDS_PER_DAY:g} to {MOST_SECONDS_PER_DAY:g}")
    if not 24 <= wishes.frames_per_second <= 60:
        raise InputError("Frames in each second", wishes.frames_per_second, "24 to 60")
