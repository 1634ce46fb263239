"""The strip wall: one day is one column, nothing missing is hidden."""

from xml.etree import ElementTree

from invented_trials import dark_break

from fairtank.publish import strip_wall
from fairtank.publish.arms import arm_looks
from fairtank.publish.content import UnitPictures
from fairtank.trial import PhotoQuality

CONTENT = dark_break()
SVG = "{http://www.w3.org/2000/svg}"


def wall(**given):
    plan = CONTENT.folder.plan
    unused = strip_wall.left_out(plan, CONTENT.folder.events, CONTENT.qualities)
    return strip_wall.strip_wall(plan, CONTENT.pictures, arm_looks(plan), unused, **given)


def test_every_day_from_first_to_last_photo_is_a_column():
    assert strip_wall.wall_days(CONTENT.pictures) == list(range(38))
    blocks = wall()
    assert len(blocks) == 3
    days = [text.text for svg, _ in blocks for text in ElementTree.fromstring(svg).iter(f"{SVG}text")
            if text.get("text-anchor") == "middle" and text.text[-1].isdigit()]
    assert [text.removeprefix("day ") for text in days] == [str(day) for day in range(38)]


def test_each_row_is_one_picture_strip():
    root = ElementTree.fromstring(wall()[0][0])
    strips = list(root.iter(f"{SVG}image"))
    assert len(strips) == 6
    assert all(value.startswith("data:image/jpeg;base64,") for strip in strips for key, value in strip.attrib.items()
               if key.endswith("href"))


def test_photos_that_were_not_used_carry_a_word_and_a_pattern():
    svg, words = wall()[0]
    assert "not used" in svg
    assert "url(#wall0-hatch)" in svg
    assert "T1, arm R: 14 of 14 days photographed, not used on day 9" in words


def test_days_an_event_takes_out_are_marked():
    unused = strip_wall.left_out(CONTENT.folder.plan, CONTENT.folder.events, ())
    assert unused == {("T2", 30): "left out"}


def test_a_day_with_one_usable_photo_is_not_marked():
    qualities = tuple(PhotoQuality(f"{place}.jpg", "T1", 4, quality, (), None, None, None, None, None, "1") for place,
                      quality in enumerate(("not usable", "usable")))
    assert strip_wall.left_out(CONTENT.folder.plan, (), qualities) == {}


def test_arms_are_told_by_letter_and_line():
    root = ElementTree.fromstring(wall()[0][0])
    assert {line.get("stroke-dasharray") for line in root.iter(f"{SVG}line")} == {"1 0", "7 4"}
    labels = [text.text for text in root.iter(f"{SVG}text") if text.get("font-weight") == "bold"]
    assert labels == ["R  T1", "R  T4", "R  T5", "D  T2", "D  T3", "D  T6"]


def test_a_long_trial_has_columns_for_its_photos_only():
    own = UnitPictures("T1", thumbnails=tuple((day, CONTENT.pictures[0].thumbnails[0][1]) for day in (0, 7, 120)))
    assert strip_wall.wall_days((own,)) == [0, 7, 120]


def test_without_photos_there_is_no_wall():
    assert strip_wall.strip_wall(CONTENT.folder.plan, (), arm_looks(CONTENT.folder.plan), {}) == []
