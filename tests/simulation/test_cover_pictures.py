"""Pictures of a wanted cover hold that cover by their own truth."""

import pytest

from fairtank.errors import InputError
from fairtank.simulation.cover_pictures import SHOWN_PCT, cover_picture


@pytest.mark.parametrize(("measure", "wanted_pct"), [("algae_cover", 5.0), ("plant_cover", 20.0)])
def test_a_picture_shows_the_cover_that_is_written_below_it(measure, wanted_pct):
    found = cover_picture(measure, wanted_pct, (512, 384))
    assert abs(found.cover_pct - wanted_pct) <= 0.25
    assert found.photo.truth.row()[measure] == found.cover_pct
    height, width = found.tank.shape[:2]
    assert 200 < height < 384
    assert 300 < width < 512


def test_the_covers_that_are_shown_ascend_from_what_is_hardly_seen():
    for shown in SHOWN_PCT.values():
        assert list(shown) == sorted(shown)
    assert SHOWN_PCT["algae_cover"][:3] == (2.0, 5.0, 10.0)


def test_other_measures_have_no_picture():
    with pytest.raises(InputError, match="algae_cover or plant_cover"):
        cover_picture("haze", 5.0)
