"""What people at the blind table have still to score before the arms may be shown."""

from dataclasses import dataclass

from django.db.models import Count

from fairtank.records.models import PairChoice, Score, Seat, Trial


@dataclass(frozen=True)
class SeatLeft:
    """A person with a measure and how far they are. rater is empty where no name was given."""

    rater: str
    measure: str
    done: int
    total: int


def seats_left(trial: Trial) -> tuple[SeatLeft, ...]:
    """Every open seat that has tasks left, in three queries.

    A seat that was closed is not waited for.

    Parameters
    ----------
    trial : Trial

    Returns
    -------
    tuple of SeatLeft

    References
    ----------
    common_practice (keys from sources.py).
    """
    done: dict[tuple[str, str, str], int] = {}
    for way, model in (("score", Score), ("pairs", PairChoice)):
        counted = model._default_manager.filter(trial=trial).order_by().values_list("measure", "rater").annotate(Count("pk"))
        done |= {(way, measure, rater): count for measure, rater, count in counted}
    seats = Seat.objects.filter(trial=trial, closed_at=None)
    told = (SeatLeft(seat.rater, seat.measure, min(done.get((seat.way, seat.measure, seat.rater), 0), len(seat.tasks)), len(seat.tasks))
            for seat in seats)
    return tuple(one for one in told if one.done < one.total)
