"""A kit of photos that are no JPEGs, and that people scored and compared: named by what they are, and judged alike without them."""

import csv
import io
import json
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image
from tests.records.kit_trials import PLAN, TABLES, TODAY, UNITS, judged_by_hand, kit_trial, photo

from fairtank.errors import DesignError, FolderError
from fairtank.publish.findings_file import findings_document
from fairtank.publish.kit.facts import KitWishes
from fairtank.records.folder import read_folder
from fairtank.records.folder.carried_json import carried_from_text
from fairtank.records.folder.kit_files import kit_state
from fairtank.records.folder.problems import Problems
from fairtank.records.folder.zipped import folder_at
from fairtank.records.services.kit_stage import judged_without_photos
from fairtank.records.services.kitting import kit_make
from fairtank.records.services.sealing import trial_seal
from fairtank.records.services.verifying import trial_verify

# As photographed -> as a reduced kit calls it. The last one would have the name of another photo.
NAMES = {"photos/T1-00.png": "photos/T1-00.jpg", "photos/T3-25.heic": "photos/T3-25.jpg", "photos/T1-05.webp": "photos/T1-05.jpeg"}
BEFORE = {"photos/T1-00.jpg": "photos/T1-00.png", "photos/T3-25.jpg": "photos/T3-25.heic", "photos/T2-05.jpg": "photos/T1-05.webp"}
BY_EYE = '[[measure]]\nkey = "lushness"\n[[measure]]\nkey = "neater"\nunit_of_measure = "log odds"\n'
SCORES = "photo,measure,rater,value\n" + "".join(
    f"photos/{unit}-{day:02d}.jpg,lushness,{rater},{1 + (place + day // 5 + (rater == 'Jorun' and place == 3)) % 5}\n"
    for rater in ("Ines", "Jorun") for place, unit in enumerate(UNITS) for day in (0, 5, 10, 25))
PAIRS = "measure,rater,photo_a,photo_b,more\n" + "".join(
    f"neater,{rater},photos/{one}-{day:02d}.jpg,photos/{other}-{day:02d}.jpg,{'ba'[(place + day + (rater == 'Jorun')) % 5 > 1]}\n"
    for rater in ("Ines", "Jorun") for place, (one, other) in enumerate((("T1", "T2"), ("T2", "T3"), ("T3", "T4"), ("T4", "T1"),
                                                                                  ("T1", "T3")))
    for day in (5, 10, 25))


def renamed(text):
    """A table with the photos as they are called here."""
    for before, name in BEFORE.items():
        text = text.replace(before, name)
    return text


def saved_as(form):
    out = io.BytesIO()
    with Image.open(io.BytesIO(photo(0, False))) as picture:
        picture.save(out, form)
    return out.getvalue()


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A sealed trial with such photos, how it was judged, and its kits with smaller photos and with none, each unpacked."""
    place = tmp_path_factory.mktemp("pictures")
    tables = {path: renamed(TABLES[path]) for path in ("photos.csv", "frames.csv", "audit.csv")}
    root = kit_trial(place / "trial", plan=PLAN + BY_EYE, more={**tables, "scores.csv": renamed(SCORES), "pairs.csv": renamed(PAIRS)})
    for before in BEFORE:
        (root / before).unlink()
    for name, content in (("T1-00.png", saved_as("PNG")), ("T1-05.webp", saved_as("WEBP")),
                          ("T3-25.heic", (Path(__file__).parents[1] / "files" / "small.heic").read_bytes())):
        (root / "photos" / name).write_bytes(content)
    trial_seal(root=root, with_data=True)
    judged = judged_by_hand(root)
    kits = {way: kit_make(root=root, out=place / f"{way}.zip", wishes=KitWishes(way), today=TODAY, judged=judged) for way in ("reduced",
                                                                                                                              "none")}
    for way, kit in kits.items():
        zipfile.ZipFile(kit.path).extractall(place / way)
    return root, judged, kits, {way: next((place / way).iterdir()) for way in kits}


def rows_of(place):
    with place.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_a_smaller_photo_is_called_by_what_it_is_in_the_table_the_list_and_the_package(made):
    root, judged, _, unpacked = made
    kit = unpacked["reduced"]
    listed = {row["file"]: row for row in rows_of(kit / "digests.csv")}
    for before, name in NAMES.items():
        assert not (kit / before).exists()
        assert (kit / name).read_bytes()[:3] == b"\xff\xd8\xff", "a JPEG"
        assert (listed[name]["original_file"], listed[name]["original_sha256"]) == (before, judged.folder.file_digests[before])
        assert f"{name}, before: {before}" in (kit / "about-the-photos.txt").read_text(encoding="utf-8")
    assert listed["photos/T1-05.jpg"]["original_file"] == "", "its own name says what it is"
    package = json.loads((kit / "datapackage.json").read_text(encoding="utf-8"))
    mediatypes = {one["path"]: one.get("mediatype") for one in package["resources"] if "path" in one}
    assert {mediatypes[name] for name in NAMES.values()} == {"image/jpeg"}
    for table, columns in (("photos.csv", ["photo"]), ("frames.csv", ["reference_photo"]), ("audit.csv", ["photo"]),
                           ("scores.csv", ["photo"]), ("pairs.csv", ["photo_a", "photo_b"])):
        there, before = ({row[column] for row in rows_of(place) for column in columns} for place in (kit / table, root / table))
        assert there == {NAMES.get(path, path) for path in before}
        assert (kit / "as-measured" / table).read_bytes() == (root / table).read_bytes()


@pytest.mark.parametrize("way", ["reduced", "none"])
def test_it_is_judged_alike_in_every_digit_and_word_scores_and_choices_too(made, way):
    _, judged, _, unpacked = made
    folder = read_folder(unpacked[way])
    mine, there = (findings_document(found, "")["findings"] for found in (judged.findings, judged_without_photos(folder, TODAY)))
    assert there == mine
    by_eye = {one["measure"]: one["eyes"] for one in there if one["eyes"]}
    assert {measure: (eyes["kind"], eyes["raters"]) for measure, eyes in by_eye.items()} == {"lushness": ("scores", 2),
                                                                                            "neater": ("choices", 2)}
    assert by_eye["lushness"]["alpha"] is not None
    assert by_eye["neater"]["ranking"]


def test_people_s_answers_go_along_word_by_word_where_their_photos_do_not(made):
    root, judged, _, unpacked = made
    kit = unpacked["none"]
    assert not (kit / "scores.csv").exists()
    assert (kit / "as-measured" / "scores.csv").read_bytes() == (root / "scores.csv").read_bytes()
    assert (kit / "as-measured" / "pairs.csv").read_bytes() == (root / "pairs.csv").read_bytes()
    named = {row["photo"] for row in rows_of(root / "scores.csv")}
    listed = {row["file"]: row["original_sha256"] for row in rows_of(kit / "digests.csv") if row["what"] == "photo left out"}
    assert {path: listed[path] for path in named} == {path: judged.folder.file_digests[path] for path in named}
    assert "For lushness, neater people looked at the photos." in (kit / "about-the-photos.txt").read_text(encoding="utf-8")
    ways = next(one for one in json.loads((kit / "miappe.json").read_text(encoding="utf-8"))["answers"] if one["codename"] == "methodName")
    assert {"lushness: people looking at photos", "algae_cover: photos, measured by fairtank"} <= set(ways["value"])


@pytest.mark.parametrize(("way", "told"), [("reduced", "16 pictures were made smaller for this kit"),
                                           ("none", "16 pictures were left out of this kit")])
def test_the_stamps_hold_and_so_does_the_form_that_an_earlier_fairtank_refuses_by_name(made, way, told):
    found = trial_verify(root=made[2][way].path)
    assert found.is_in_order, found.words
    assert any(told in line for line in found.words)
    assert kit_state(made[3][way]).form == 2


def test_taken_in_it_packs_to_the_same_file_and_then_without_photos_names_the_ones_that_were_measured(shelf, made, tmp_path):
    from fairtank.records.services.exporting import trial_export
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    _, judged, kits, _ = made
    for way in ("reduced", "none"):
        with folder_at(kits[way].path) as root:
            trial = trial_import(root=root, by=KEEPER)
        folder = read_folder(trial_export(trial=trial, root=tmp_path / way))
        there = replace(judged, folder=folder, findings=judged_without_photos(folder, TODAY),
                        measured=replace(judged.measured, measured=()))
        again = kit_make(root=folder.root, out=tmp_path / f"{way}.zip", today=TODAY, judged=there)
        assert again.path.read_bytes() == kits[way].path.read_bytes()
        if way == "reduced":
            bare = kit_make(root=folder.root, out=tmp_path / "bare.zip", wishes=KitWishes("none"), today=TODAY,
                            judged=judged_of(folder, there))
            left_out = {one.path: one.original_sha256 for one in bare.files if one.what == "photo left out"}
            assert left_out == {one.path: judged.folder.file_digests[one.path] for one in judged.folder.photos}
            assert trial_verify(root=bare.path).is_in_order


def judged_of(folder, there):
    """A folder whose photos were made smaller, with the series of people's answers that its own tables give."""
    from fairtank.records.services.measuring import MeasuredTrial
    from fairtank.records.snapshot import series_of

    return replace(there, series=series_of(folder, MeasuredTrial()))


def test_a_plan_in_as_measured_does_not_pass_for_the_one_that_was_sealed(made, tmp_path):
    with zipfile.ZipFile(made[2]["none"].path) as archive:
        archive.extractall(tmp_path)
    root = next(tmp_path.iterdir())
    plan = (root / "trial.toml").read_text(encoding="utf-8")
    (root / "as-measured" / "trial.toml").write_text(plan, encoding="utf-8")
    (root / "trial.toml").write_text(plan.replace("margin = 0.5", "margin = 0.1"), encoding="utf-8")
    told = trial_verify(root=root).words
    assert any("margin" in line or "smallest difference" in line for line in told), told


def test_photos_whose_answers_give_no_value_cannot_be_left_out(made, tmp_path):
    _, judged, _, _ = made
    empty = [replace(one, days=(), values=(), ses=()) if one.measure == "neater" else one for one in judged.series]
    with pytest.raises(DesignError, match="People looked at photos for neater, and their answers give no order of the tanks"):
        kit_make(root=judged.folder.root, out=tmp_path / "kit.zip", wishes=KitWishes("none"), today=TODAY,
                 judged=replace(judged, series=tuple(empty)))


@pytest.mark.parametrize(("was", "now"), [('"kind": "scores"', '"kind": "guesses"'), ('"raters": 2', '"raters": "two"'),
                                          ('"one_sided": false', '"one_sided": 0'), ('"same": 0,', "")])
def test_what_is_said_of_people_is_read_strictly(made, was, now):
    text = (made[3]["none"] / "carried.json").read_text(encoding="utf-8")
    assert was in text
    problems = Problems()
    assert carried_from_text(text.replace(was, now), problems) == ()
    with pytest.raises(FolderError, match=r"carried\.json: it is not as a kit writes it"):
        raise problems.as_error()
