"""An audit from the draw to the caution beside the finding, on a small photo trial."""

import csv
import json
import re
import shutil
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PIL import Image
from tests.records.kits import make_kit
from tests.records.photo_trials import Shape, photo_trial

from fairtank.errors import FolderError, InputError, JobError, NotEnoughDataError
from fairtank.publish.audit_words import NOT_CHECKED
from fairtank.records.arms import arm_on
from fairtank.records.audit_files import KeyPoint, answers_read, answers_text, key_read
from fairtank.records.audited import agreement_of, audit_results, audit_told, judged_days
from fairtank.records.folder import read_folder
from fairtank.records.services.auditing import audit_draw, audit_take
from fairtank.records.services.measuring import folder_measure
from fairtank.records.services.trials import trial_judge
from fairtank.records.store import store_of
from fairtank.trial import Arm, MeasureChoice, Plan, Series, Unit

SHAPE = Shape(days=(0, 1, 2), mode="fixed", painted=(("T1", 1), ("T2", 2)))
POINTS = 70
TODAY = date(2026, 3, 9)


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    """A trial of six photos with an audit drawn; tests that change it take a copy."""
    root = photo_trial(tmp_path_factory.mktemp("audited") / "trial", SHAPE)
    row_dropped(root / "labels" / "classes.csv", "algae")  # two classes are learnt faster than three
    return root, audit_draw(root=root, points=POINTS, workers=1)


@pytest.fixture(scope="module")
def story(drawn, tmp_path_factory):
    """The same trial with answers: half of one person's, all of them with some slips, nothing new, then those of a second person."""
    place = tmp_path_factory.mktemp("story")
    root = Path(shutil.copytree(drawn[0], place / "trial"))
    half = audit_take(root=root, answers=answered(root, place / "a.csv", most=30), workers=1)
    full = audit_take(root=root, answers=answered(root, place / "a.csv", slips=35, unsure=23), workers=1)
    rows = table(root / "audit.csv")
    again = audit_take(root=root, answers=place / "a.csv", workers=1)
    two = audit_take(root=root, answers=answered(root, place / "b.csv", "two", slips=10), workers=1)
    return root, half, full, again, two, rows


def row_dropped(file: Path, start: str) -> None:
    """Leave out the row that begins so."""
    lines = file.read_text(encoding="utf-8").splitlines(keepends=True)
    file.write_text("".join(line for line in lines if not line.startswith(start)), encoding="utf-8")


def table(file: Path) -> list[dict[str, str]]:
    """The rows of a table."""
    return list(csv.DictReader(file.read_text(encoding="utf-8").splitlines()))


@pytest.fixture
def mine(drawn, tmp_path):
    """A copy of the trial with its audit."""
    return Path(shutil.copytree(drawn[0], tmp_path / "trial"))


def truth(point: KeyPoint) -> str:
    """What was drawn at a point of the made-up picture."""
    top = 480 - 5 * int(point.photo[-6:-4])
    if 300 <= point.x < 400 and 520 <= point.y < 560:
        return "algae"
    return "plant" if 250 <= point.x < 750 and point.y >= top else "background"


def answered(root: Path, file: Path, rater: str = "one", *, slips: int = 0, unsure: int = 0, most: int | None = None) -> Path:
    """Answers by what was drawn; every so-many-th is a slip, or `can't tell`; only the first ones if wanted."""
    key = key_read(root / "audit" / "key.csv")
    lines = ["draw,point,class,rater"]
    for point in key:
        said = truth(point)
        if slips and point.number % slips == 0:
            said = "background" if said == "plant" else "plant"
        if unsure and point.number % unsure == 0:
            said = "can't tell"
        lines.append(f"{point.draw},{point.name},{said if most is None or point.number <= most else ''},{rater}")
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return file


def test_the_draw_is_even_blind_and_kept_apart(drawn):
    root, told = drawn
    assert (told.new, told.points, told.by_arm) == (70, 70, (("dimmed", 35), ("plain", 35)))
    crops = sorted((root / "audit").glob("*.jpg"))
    assert [path.name for path in crops] == [f"point-{number:04d}.jpg" for number in range(1, 71)]
    key = key_read(root / "audit" / "key.csv")
    assert told.photos == len({point.photo for point in key}) >= 2
    assert [point.photo for point in key] != sorted(point.photo for point in key)
    assert (root / "audit" / "key.csv").read_text(encoding="utf-8").startswith("# Do not open this file before all answers are in")


def test_neither_pictures_nor_sheet_nor_answers_tell_tank_arm_day_or_camera(drawn):
    root, _ = drawn
    secret = re.compile(r"T[12]\b|T[12]-|plain|dimmed|photos/|2026|Exif|GPS|JFIF-like", re.ASCII)
    for path in (root / "audit").glob("*.jpg"):
        with Image.open(path) as picture:
            assert set(picture.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density"}
            assert not picture.getexif()
    page = (root / "audit" / "sheet.html").read_text(encoding="utf-8")
    data = json.loads(re.search(r'id="data">(.*?)</script>', page)[1])
    plain = re.sub(r"base64,[A-Za-z0-9+/=]+|<script type=\"application/json\".*?</script>", "", page)
    assert not secret.search(plain)
    assert not secret.search(json.dumps([row[:2] for row in data["points"]]))
    assert "//" not in plain.replace("// Kept in this browser", "")
    assert not secret.search((root / "audit" / "answers.csv").read_text(encoding="utf-8"))
    times = {path.stat().st_size for path in (root / "audit").glob("*.jpg")}
    assert len(times) > 10  # the pictures are not all one


def test_the_same_folder_and_seed_draw_the_same_and_another_seed_does_not(drawn, tmp_path):
    root, _ = drawn
    again, other = (Path(shutil.copytree(root, tmp_path / name, ignore=shutil.ignore_patterns("audit"))) for name in ("again", "other"))
    for place, seed in ((again, 1), (other, 2)):
        audit_draw(root=place, points=POINTS, seed=seed, workers=1)
    names = ("key.csv", "answers.csv", "sheet.html", "point-0001.jpg")
    assert all((root / "audit" / name).read_bytes() == (again / "audit" / name).read_bytes() for name in names)
    assert key_read(other / "audit" / "key.csv") != key_read(root / "audit" / "key.csv")


def test_a_second_draw_goes_on_and_keeps_what_was_answered_by_hand(mine):
    before = key_read(mine / "audit" / "key.csv")
    answers = mine / "audit" / "answers.csv"
    answers.write_text(answers.read_text(encoding="utf-8").replace("point-0001,,", "point-0001,plant,me"), encoding="utf-8")
    told = audit_draw(root=mine, points=11, workers=1)
    after = key_read(mine / "audit" / "key.csv")
    assert (told.new, told.points) == (12, 82)
    assert after[:70] == before
    assert len({(point.photo, point.x, point.y) for point in after}) == 82
    rows = table(answers)
    assert (len(rows), rows[0]["class"], rows[0]["rater"], rows[81]["point"]) == (82, "plant", "me", "point-0082")
    assert after[70].draw != before[0].draw == rows[0]["draw"]


def test_answers_come_back_half_filled_first_and_corrected_later(story):
    _, half, full, again, _, rows = story
    assert (half.new, half.replaced, half.empty, half.open) == (30, 0, 40, 40)
    assert dict(half.results["plant_cover"].few).keys() == {"R", "C"}
    assert (full.new, full.replaced, full.open) == (40, 1, 0)
    assert (again.new, again.replaced) == (0, 0)
    assert len(rows) == 70
    assert list(rows[0]) == ["photo", "x", "y", "class", "rater"]
    assert sum(row["class"] == "unsure" for row in rows) == 3
    result = full.results["plant_cover"]
    assert [arm.arm for arm in result.arms] == ["R", "C"]
    assert (result.points, result.unsure, result.set_aside, result.raters) == (67, 3, 0, 1)
    for arm in result.arms:
        assert abs(arm.bias) < 0.1
        assert arm.bias_low < arm.bias < arm.bias_high
        assert arm.agreed > 0.85


def test_two_people_are_joined_and_their_agreement_told(story):
    root, *_, two, _ = story
    result = two.results["plant_cover"]
    assert (two.new, result.raters, result.points) == (70, 2, 70)
    assert result.agreement.points == 70
    assert 0.8 < result.agreement.same < 0.95
    assert 0.4 < result.agreement.alpha < 1
    assert agreement_of(read_folder(root)) == result.agreement


def test_what_the_map_says_at_each_point_is_kept_with_the_photo(story):
    root = story[0]
    folder = read_folder(root)
    agree = points = 0
    for row in folder_measure(folder=folder, store=store_of(root), workers=1).qualities:
        told = [point.answer[0] for point in folder.audit if point.photo == row.photo]
        assert len(row.map_at_audit) == len(told)
        agree += sum(map_says == eye for map_says, eye in zip(row.map_at_audit, told, strict=True))
        points += len(told)
    assert agree >= 0.75 * points


def test_the_finding_tells_of_the_audit_or_that_there_was_none(drawn, story):
    judged = trial_judge(root=drawn[0], workers=1, today=TODAY)
    assert [finding.cautions.count(NOT_CHECKED) for finding in judged.findings if finding.measure == "plant_cover"] == [1]
    judged = trial_judge(root=story[0], workers=1, today=TODAY)
    (finding,) = (finding for finding in judged.findings if finding.measure == "plant_cover")
    (told,) = (text for text in finding.cautions if "random points" in text)
    assert "These errors differ by" in told
    assert "“dimmed” minus “plain”" in told
    assert NOT_CHECKED not in finding.cautions
    from_table = replace(judged.folder, series=(Series("T1", "plant_cover", (0,), (4.0,)),))
    assert audit_told(from_table, judged.measured, judged.findings) == judged.findings


def test_answers_at_photos_whose_day_does_not_count_are_set_aside(story):
    root = story[0]
    folder = read_folder(root)
    measured = folder_measure(folder=folder, store=store_of(root), workers=1)
    later = replace(folder, photos=tuple(replace(photo, day=-3) if photo.path == "photos/T1-00.jpg" else photo for photo in folder.photos))
    lost = sum(point.photo == "photos/T1-00.jpg" for point in folder.audit)
    assert audit_results(later, measured)["plant_cover"].set_aside == lost > 0


@pytest.mark.parametrize(("old", "new", "sentence"), [
    ("point-0003,", "point-0300,", r"row 4, column point: point-0300 is no point of this audit; accepted: point-0001 to point-0070"),
    (",plant,", ",moss,", r"column class: moss is no class; accepted: plant, algae, background, unsure"),
    ("DRAW,point-0002", "abcdef0123,point-0002", r"row 3, column draw: abcdef0123 is not the draw of point-0002"),
    ("draw,point,class,rater", "draw;point;class;rater", r"the columns are parted by semicolons"),
])  # fmt: skip
def test_answers_that_make_no_sense_are_refused_in_a_sentence_and_nothing_is_written(mine, tmp_path, old, new, sentence):
    file = answered(mine, tmp_path / "a.csv")
    text, code = file.read_text(encoding="utf-8"), key_read(mine / "audit" / "key.csv")[0].draw
    file.write_text(text.replace(old.replace("DRAW", code), new), encoding="utf-8")
    with pytest.raises(FolderError, match=sentence):
        audit_take(root=mine, answers=file, workers=1)
    assert not (mine / "audit.csv").exists()


def test_two_answers_of_one_person_to_one_point_are_refused(mine, tmp_path):
    file = answered(mine, tmp_path / "a.csv")
    point = key_read(mine / "audit" / "key.csv")[0]
    other = "algae" if truth(point) != "algae" else "plant"
    file.write_text(file.read_text(encoding="utf-8") + f"{point.draw},1,{other},one\n", encoding="utf-8")
    with pytest.raises(FolderError, match=r"point-0001 is .* in row 2 and .* here, by the same person"):
        audit_take(root=mine, answers=file, workers=1)


def test_numbers_that_a_spreadsheet_made_of_the_points_are_understood(mine, tmp_path):
    file = answered(mine, tmp_path / "a.csv")
    file.write_text("\ufeff" + file.read_text(encoding="utf-8").replace("point-000", "").replace("point-00", ""), encoding="utf-8")
    found, empty = answers_read(file, key_read(mine / "audit" / "key.csv"), ())
    assert (len(found), empty) == (70, 0)


def test_a_key_that_was_changed_or_is_not_there_is_refused(mine, tmp_path):
    file, key = answered(mine, tmp_path / "a.csv"), mine / "audit" / "key.csv"
    text = key.read_text(encoding="utf-8")
    key.write_text(text.replace("T1-00", "T2-00", 1), encoding="utf-8")
    with pytest.raises(FolderError, match=r"the points of draw .* were changed since they were drawn"):
        audit_take(root=mine, answers=file, workers=1)
    key.unlink()
    with pytest.raises(InputError, match="Draw points first"):
        audit_take(root=mine, answers=file, workers=1)


def test_an_audit_cannot_lie_where_the_photos_lie_and_a_lost_picture_is_told(mine):
    with pytest.raises(InputError, match="where the trial's own pictures lie"):
        audit_draw(root=mine, points=4, out=mine / "photos" / "audit", workers=1)
    (mine / "audit" / "point-0007.jpg").unlink()
    with pytest.raises(JobError, match=r"point-0007\.jpg is missing"):
        audit_draw(root=mine, points=4, workers=1)
    assert len(key_read(mine / "audit" / "key.csv")) == 70


def test_a_trial_without_usable_photos_has_nothing_to_draw(tmp_path):
    with pytest.raises(NotEnoughDataError, match="the folder has no photos with frames"):
        audit_draw(root=make_kit(tmp_path / "kit"), points=4, workers=1)


def test_own_classes_and_unsure_are_read_from_audit_csv_and_rows_there_are_kept(mine, tmp_path):
    (mine / "audit.csv").write_text("photo,x,y,class,rater,note\nphotos/T1-00.jpg,300,300,unsure,old,kept\n", encoding="utf-8")
    audit_take(root=mine, answers=answered(mine, tmp_path / "a.csv"), workers=1)
    rows = table(mine / "audit.csv")
    assert (len(rows), rows[0]["note"], rows[0]["class"], rows[1]["note"]) == (71, "kept", "unsure", "")
    assert read_folder(mine).audit[0].answer == "unsure"


def plan(kind: str, **more) -> Plan:
    arms, units = (Arm("R", "reference"), Arm("C", "changed")), (Unit("T1", "R"), Unit("T2", "C", first_arm="C"))
    return Plan("t", date(2026, 3, 1), 40, kind, arms, units, (MeasureChoice("plant_cover", window=(5, 30)),), **more)


def test_days_before_the_change_and_of_the_wash_out_have_no_arm():
    assert [arm_on(plan("side_by_side"), "T1", day) for day in (-1, 0, 40, 41)] == [None, "R", "R", None]
    assert [arm_on(plan("run_in", run_in_days=10), "T2", day) for day in (9, 10)] == [None, "C"]
    assert [arm_on(plan("drawn_start", drawn_day=12), "T2", day) for day in (11, 12)] == [None, "C"]
    swap = plan("swap", swap_day=20, washout_days=3)
    assert [arm_on(swap, "T1", day) for day in (0, 19, 20, 22, 23)] == ["R", "R", None, None, "C"]
    assert [arm_on(swap, "T2", day) for day in (19, 23)] == ["C", "R"]
    assert judged_days(swap) == (5, 30)
    assert judged_days(replace(swap, measures=())) == (0, 40)


def test_an_answers_file_of_an_old_sheet_keeps_its_own_columns(tmp_path):
    point = KeyPoint("abc", 2, "photos/a.jpg", 1.0, 2.0)
    assert answers_text([point], "point,class,draw\npoint-0001,plant,xyz\n") == "point,class,draw\npoint-0001,plant,xyz\npoint-0002,,abc\n"
    (tmp_path / "a.csv").write_text(answers_text([point]), encoding="utf-8")
    assert answers_read(tmp_path / "a.csv", [point], ()) == ((), 1)
