"""Demo folders: made once, made anew for another edition, never over something else, and in order when they are read."""

import csv

import pytest
from tests.records import short_demo

from fairtank import __version__
from fairtank.errors import InputError
from fairtank.records.folder import read_folder
from fairtank.records.services import demo
from fairtank.records.services.demo import EDITION, TRUTH_COLUMNS, TRUTH_FILE, demo_make


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A demo of two tanks and two days, at a quarter of the size, made in the place of one of an older edition.

    Everything but its shortness is the real thing, worker processes included.
    """
    root = tmp_path_factory.mktemp("demo") / "cover_glass"
    root.mkdir()
    (root / "demo-edition.txt").write_text("cover_glass 0 0.0.1\n", encoding="utf-8")
    (root / "old.txt").write_text("old", encoding="utf-8")
    calls = []
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(demo, "scenario", short_demo.scenario)
        patch.setattr(demo, "_unit_render", short_demo.unit_render)
        is_new = demo_make(name="cover_glass", root=root, workers=2, progress=lambda *numbers: calls.append(numbers))
    return root, is_new, calls


def test_the_demo_is_a_trial_folder_in_order(made):
    folder = read_folder(made[0])
    assert "invented" in folder.plan.title
    assert [(photo.unit, photo.day) for photo in folder.photos] == [("T1", 0), ("T2", 0), ("T1", 1), ("T2", 1)]
    assert [label.photo for label in folder.labels] == ["photos/T1-2026-05-05.jpg"]
    assert {frame.unit for frame in folder.frames} == {"T1", "T2"}
    assert folder.unread_files == ()
    assert folder.unknown_columns == ()
    assert folder.setup == short_demo.scenario("cover_glass").setup


def test_photos_carry_the_time_that_photos_csv_says(made):
    from PIL import Image

    for photo in read_folder(made[0]).photos:
        with Image.open(made[0] / photo.path) as picture:
            assert picture.getexif().get_ifd(0x8769)[0x9003] == photo.taken_at.strftime("%Y:%m:%d %H:%M:%S")


def test_the_truth_lies_beside_the_photos_a_row_for_each(made):
    with (made[0] / TRUTH_FILE).open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert tuple(rows[0]) == TRUTH_COLUMNS
    assert sorted(row["photo"] for row in rows) == sorted(photo.path for photo in read_folder(made[0]).photos)
    assert all(0 < float(row["plant_cover_pct"]) < 100 and float(row["canopy_height_cm"]) > 0 for row in rows)


def test_progress_starts_at_nothing_and_ends_at_all_photos(made):
    assert made[2][0] == (0, 4)
    assert made[2][-1] == (4, 4)


def test_no_draft_of_the_folder_is_left(made):
    assert [path.name for path in made[0].parent.iterdir()] == ["cover_glass"]


def test_a_demo_that_is_there_is_left_as_it_is(made):
    before = {path: path.stat().st_mtime_ns for path in made[0].rglob("*")}
    assert demo_make(name="cover_glass", root=made[0]) is False
    assert {path: path.stat().st_mtime_ns for path in made[0].rglob("*")} == before


def test_a_demo_of_an_older_edition_is_made_anew_without_what_lay_in_it(made):
    assert made[1] is True
    assert not (made[0] / "old.txt").exists()
    assert (made[0] / "demo-edition.txt").read_text(encoding="utf-8") == f"cover_glass {EDITION} {__version__}\n"


def test_a_folder_with_something_else_is_never_touched(tmp_path):
    (tmp_path / "letters.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match=r"accepted: a folder that is not there yet, or an earlier demo\. Choose another with --folder\."):
        demo_make(name="midday", root=tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["letters.txt"]


def test_an_unknown_demo_is_refused_and_leaves_nothing(tmp_path):
    with pytest.raises(InputError, match="accepted: midday, cover_glass"):
        demo_make(name="pond", root=tmp_path / "pond")
    assert list(tmp_path.iterdir()) == []
