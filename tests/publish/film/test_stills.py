"""Pictures beside the film."""

from dataclasses import replace

import numpy as np
from tests.publish.film.film_examples import TINY, film

from fairtank.publish.film.frames import picture_of_shot
from fairtank.publish.film.stills import before_after, pair_of, poster


def test_the_poster_is_the_last_day_and_gives_no_reveal_away():
    made = film(replace(TINY, arms="at the end"))
    last = [shot for shot in made.timeline.shots if shot.kind == "hold"][-1]
    reveal = next(shot for shot in made.timeline.shots if shot.kind == "reveal")
    assert np.array_equal(poster(made), picture_of_shot(made, last))
    assert not np.array_equal(poster(made), picture_of_shot(made, reveal))


def test_before_and_after_shows_every_tank_on_its_own_first_and_last_day():
    asked = []
    made = film(days={"R1": (0, 2), "C1": (1, 4)})
    own = made.content.picture

    def noted(unit, day, width, height):
        asked.append((unit, day))
        return own(unit, day, width, height)

    told = replace(made, content=replace(made.content, picture=noted))
    before_after(told)
    assert sorted(asked) == [("C1", 1), ("C1", 4), ("R1", 0), ("R1", 2)]
    asked.clear()
    pair_of(told, "C1")
    assert asked == [("C1", 1), ("C1", 4)]
