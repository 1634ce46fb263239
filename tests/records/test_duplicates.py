"""One file listed for two tanks counts for the tank that it shows, where that is known, and else for none."""

from dataclasses import replace

import numpy as np
import pytest
from tests.records.photo_trials import Shape, photo_trial, read
from tests.vision.pictures import PHOTO, classifier, loaded, tank_picture, view

from fairtank.records.services.duplicates import duplicates_marked
from fairtank.vision.measure import measure_photo


@pytest.fixture(scope="module")
def one_file_twice(tmp_path_factory):
    """A folder in which one photo of each tank holds the same bytes, and a usable result for every photo."""
    folder = read(photo_trial(tmp_path_factory.mktemp("twice") / "trial", Shape(days=(0, 7), painted=(), shrink=2)))
    paths = [photo.path for photo in folder.photos if photo.day == 7]
    digests = {**folder.file_digests, paths[1]: folder.file_digests[paths[0]]}
    picture: np.ndarray = tank_picture()
    whole = measure_photo(PHOTO, loaded(picture), view(picture), classifier(), version="t")
    own = {photo.path: replace(whole.quality, photo=photo.path, unit=photo.unit) for photo in folder.photos}
    results = {path: replace(whole, quality=quality, thumbnail=b"") for path, quality in own.items()}
    return replace(folder, file_digests=digests), paths, results


def test_it_counts_for_the_tank_whose_card_it_shows(one_file_twice):
    folder, (right, wrong), results = one_file_twice
    contradicted = replace(results[wrong].quality, quality="not usable", verdicts=("wrong_tank",))
    marked = duplicates_marked(folder, {**results, wrong: replace(results[wrong], quality=contradicted, measured=())}, lambda photo: None)
    assert marked[right].quality.quality == results[right].quality.quality != "not usable"
    assert marked[right].measured
    assert "duplicate" in marked[wrong].quality.verdicts


def test_it_counts_for_none_where_nothing_tells_whose_it_is(one_file_twice):
    folder, paths, results = one_file_twice
    marked = duplicates_marked(folder, results, lambda photo: None)
    assert {marked[path].quality.quality for path in paths} == {"not usable"}
    assert not any(marked[path].measured for path in paths)
