"""A kit: valid to outside readers, the same bytes each time, the same findings with photos, with smaller ones and without."""

import csv
import importlib
import json
import tomllib
import zipfile
from dataclasses import replace
from datetime import date
from functools import cache

import pytest
from tests.conftest import REPOSITORY
from tests.records.kit_trials import TABLES, TODAY, judged_by_hand, kit_trial

from fairtank.errors import DesignError, FolderError, InputError
from fairtank.inference import judge
from fairtank.publish.findings_file import findings_document
from fairtank.publish.kit.facts import LEFT_OUT, REDUCED, WITHOUT_PLACE, KitWishes
from fairtank.publish.kit.miappe import miappe_counts
from fairtank.publish.kit.miappe_fields import FIELDS
from fairtank.records.exporters.kit_software import DIRECT
from fairtank.records.folder import read_folder
from fairtank.records.folder.kit_files import check_kit, kit_state
from fairtank.records.folder.tables import TABLES as LISTED
from fairtank.records.services.kit_stage import judged_without_photos
from fairtank.records.services.kitting import kit_make
from fairtank.records.services.sealing import trial_seal
from fairtank.records.services.verifying import trial_verify

WISHES = {"full": KitWishes("full", "CC-BY-4.0"), "reduced": KitWishes("reduced", "CC0-1.0"), "none": KitWishes("none")}


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """The trial, how it was judged, and its kit in all three ways, each unpacked beside its file."""
    place = tmp_path_factory.mktemp("kits")
    root = kit_trial(place / "trial", places=2)
    judged = judged_by_hand(root)
    kits = {way: kit_make(root=root, out=place / f"{way}.zip", wishes=wishes, today=TODAY, judged=judged) for way, wishes in WISHES.items()}
    for way, kit in kits.items():
        zipfile.ZipFile(kit.path).extractall(place / way)
    return root, judged, kits, {way: next((place / way).iterdir()) for way in kits}


def findings(found):
    return findings_document(found, "")["findings"]


@pytest.fixture(scope="module")
def frictionless():
    """The validator; loading it raises the longest cell of every reader of tables in this process, which is put back afterwards."""
    longest = csv.field_size_limit()
    module = importlib.import_module("frictionless")
    yield module
    csv.field_size_limit(longest)


@pytest.mark.parametrize("way", WISHES)
def test_the_validator_of_data_packages_finds_nothing_wrong_in_any_table(made, frictionless, way):
    root = made[3][way]
    report = frictionless.validate(str(root / "datapackage.json"))
    assert report.valid, [(task.name, error.message) for task in report.tasks for error in task.errors] + [one.message
                                                                                                           for one in report.errors]
    package = json.loads((root / "datapackage.json").read_text(encoding="utf-8"))
    assert package["$schema"] == "https://datapackage.org/profiles/2.0/datapackage.json"
    described = {one["path"]: one["schema"] for one in package["resources"] if "schema" in one and "path" in one}
    there = {path.relative_to(root).as_posix() for path in root.rglob("*.csv")}
    assert set(described) == there, "every table has a schema"
    for table in LISTED:
        for file in (table.file, f"as-measured/{table.file}"):
            known = {column.name: column for column in table.columns}
            for field in described.get(file, {"fields": ()})["fields"]:
                assert field["name"] in known or field["description"] == "A column of the keeper's own."


def test_a_schema_says_what_the_reader_of_folders_accepts(made):
    package = json.loads((made[3]["full"] / "datapackage.json").read_text(encoding="utf-8"))
    schemas = {one.get("path"): one.get("schema") for one in package["resources"]}
    fields = {(path, field["name"]): field for path, schema in schemas.items() if schema for field in schema["fields"]}
    assert fields["labels/classes.csv", "r"]["constraints"] == {"required": True, "minimum": 0, "maximum": 255}
    assert fields["spread.csv", "variance"]["constraints"] == {"required": True, "exclusiveMinimum": 0}
    assert fields["zones.csv", "kind"]["constraints"]["enum"][:2] == ["water", "floor"]
    assert (fields["photos.csv", "taken_at"]["type"], fields["readings.csv", "taken_at"]["type"]) == ("string",
                                                                                                      "datetime"), "as it is written"
    assert fields["readings.csv", "below_detection"]["type"] == "boolean"
    assert schemas["photos.csv"]["primaryKey"] == ["photo"]
    keys = {(one["fields"][0], one["reference"]["resource"]) for one in schemas["frames.csv"]["foreignKeys"]}
    assert keys == {("unit", "units"), ("reference_photo", "photos")} or keys == {("unit", "units")}


@pytest.mark.parametrize("way", WISHES)
def test_the_library_of_research_crates_reads_it_back(made, way):
    from rocrate.rocrate import ROCrate

    root = made[3][way]
    crate = ROCrate(str(root))
    assert crate.name == "Less light, less algae (invented)"
    parts = {entity.id for entity in crate.root_dataset["hasPart"]}
    there = {path.relative_to(root).as_posix() for path in root.rglob("*") if path.is_file()}
    assert parts == there - {"ro-crate-metadata.json", "datapackage.json", "digests.csv"}
    assert crate.get("results/findings.json")["sha256"] == digests(root)["results/findings.json"]["sha256"]
    assert crate.metadata["conformsTo"].id.startswith("https://w3id.org/ro/crate/1.2") if hasattr(crate.metadata["conformsTo"], "id") else \
        str(crate.metadata["conformsTo"]).startswith("https://w3id.org/ro/crate/1.2")
    licence = crate.root_dataset["license"]
    assert licence.id == {"full": "https://creativecommons.org/licenses/by/4.0/",
                          "reduced": "https://creativecommons.org/publicdomain/zero/1.0/",
                          "none": "#all-rights-remain"}[way]


def digests(root):
    with (root / "digests.csv").open(encoding="utf-8", newline="") as file:
        return {row["file"]: row for row in csv.DictReader(file)}


def test_the_same_trial_gives_the_same_bytes(made, tmp_path):
    root, judged, kits, _ = made
    for way in ("full", "none"):  # smaller photos: see the test of packing again what was taken in
        again = kit_make(root=root, out=tmp_path / f"another-name-{way}.zip", wishes=WISHES[way], today=TODAY, judged=judged)
        assert again.path.read_bytes() == kits[way].path.read_bytes()


def test_a_kit_with_full_photos_is_the_trial_to_the_byte(made):
    root, judged, kits, unpacked = made
    for path in root.rglob("*"):
        name = path.relative_to(root).as_posix()
        if path.is_file() and kits["full"].facts.photos == "full" and digests(unpacked["full"])[name]["what"] != WITHOUT_PLACE:
            assert (unpacked["full"] / name).read_bytes() == path.read_bytes()
    assert json.loads((unpacked["full"] / "results/findings.json").read_text(encoding="utf-8"))["inputs_digest"] == judged.folder.digest


def test_photos_go_out_without_their_place_and_the_list_names_what_they_were(made, tmp_path):
    root, judged, kits, unpacked = made
    rows = digests(unpacked["full"])
    placeless = [name for name, row in rows.items() if row["what"] == WITHOUT_PLACE]
    assert placeless == ["photos/T1-00.jpg", "photos/T2-00.jpg"]
    for name in placeless:
        assert rows[name]["original_sha256"] == judged.folder.file_digests[name] != rows[name]["sha256"]
        assert name in (unpacked["full"] / "about-the-photos.txt").read_text(encoding="utf-8")
    assert read_folder(unpacked["full"]).digest == kits["full"].facts.digest_here != judged.folder.digest
    kept = kit_make(root=root, out=tmp_path / "kept.zip", wishes=KitWishes(with_place=True), today=TODAY, judged=judged)
    assert kept.facts.digest_here == judged.folder.digest
    assert not [one for one in kept.files if one.what == WITHOUT_PLACE]


@pytest.mark.parametrize(("way", "what"), [("reduced", REDUCED), ("none", LEFT_OUT)])
def test_without_the_photos_as_measured_every_finding_is_the_same_in_every_digit_and_word(made, way, what):
    _, judged, kits, unpacked = made
    folder = read_folder(unpacked[way])
    assert findings(judged_without_photos(folder, TODAY)) == findings(judged.findings)
    assert any("Checked by eye" in text or "audit" in text or "eye" in text for one in judged.findings for text in one.cautions), \
        "what was said of the photos is among it"
    mine = {(one.unit, one.measure): (one.days, one.values, one.ses) for one in judged.series if one.measure != "haze"}
    assert {(one.unit, one.measure): (one.days, one.values, one.ses) for one in folder.series} == mine, "floats whole, errors too"
    rows = [row for row in digests(unpacked[way]).values() if row["what"] == what]
    assert "original_file" not in rows[0]
    assert kit_state(unpacked[way]).form == 1, "any fairtank reads it"
    assert {row["file"]: row["original_sha256"] for row in rows} == {
        photo.path: judged.folder.file_digests[photo.path] for photo in judged.folder.photos}
    assert folder.digest == kits[way].facts.digest_here != kits[way].facts.inputs_digest == judged.folder.digest


def test_a_finding_that_would_come_out_otherwise_is_not_given_away(made, tmp_path):
    from fairtank.errors import JobError

    root, judged, _, _ = made
    odd = replace(judged, findings=(replace(judged.findings[0], estimate=0.123), *judged.findings[1:]))
    with pytest.raises(JobError, match="algae_cover would be judged otherwise"):
        kit_make(root=root, out=tmp_path / "odd.zip", wishes=WISHES["none"], today=TODAY, judged=odd)
    assert list(tmp_path.iterdir()) == []


def test_smaller_photos_keep_frames_points_and_strokes_in_their_places(made):
    from PIL import Image

    root, _, _, unpacked = made
    folder = read_folder(unpacked["reduced"])
    with Image.open(unpacked["reduced"] / "photos/T1-00.jpg") as photo:
        assert photo.size == (1280, 128)
        assert not photo.getexif()
    assert folder.frames[0].corners == ((80.0, 16.0), (1200.0, 16.0), (1200.0, 120.0), (80.0, 120.0))
    assert (folder.audit[5].x, folder.audit[5].y) == (400 * 0.8, 110 * 0.8)
    with Image.open(unpacked["reduced"] / "labels/T1-00.png") as strokes:
        assert strokes.size == (1280, 128)
        assert strokes.getpixel((400, 24)) == (0, 158, 115, 255), "a stroke of one px is not lost"
    for file in ("frames.csv", "audit.csv", "series.csv", "photos.csv", "labels/T1-00.png"):
        assert (unpacked["reduced"] / "as-measured" / file).read_bytes() == (root / file).read_bytes()


def test_taken_in_elsewhere_and_packed_again_it_is_the_same_to_the_byte(shelf, made, tmp_path, monkeypatch):
    from fairtank.records.folder.zipped import folder_at
    from fairtank.records.services import kitting
    from fairtank.records.services.exporting import trial_export
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    judged, kits = made[1], made[2]
    for way in ("reduced", "none"):
        with folder_at(kits[way].path) as root:
            trial = trial_import(root=root, by=KEEPER)
        back = trial_export(trial=trial, root=tmp_path / way)
        assert not {"datapackage.json", "digests.csv", "README.md", "results"} & {path.name for path in back.iterdir()}
        folder = read_folder(back)
        there = replace(judged, folder=folder, findings=judged_without_photos(folder, TODAY), measured=replace(judged.measured,
                                                                                                               measured=()))
        again = kitting.kit_make(root=back, out=tmp_path / f"{way}.zip", today=TODAY, judged=there)
        assert again.path.read_bytes() == kits[way].path.read_bytes()


def changed(root, tmp_path, how):
    """The kit packed anew after something was done to it."""
    there = tmp_path / "spoilt"
    zipfile.ZipFile(root).extractall(there)
    how(next(there.iterdir()))
    place = tmp_path / "spoilt.zip"
    with zipfile.ZipFile(place, "w") as archive:
        for path in sorted(there.rglob("*")):
            if path.is_file():
                archive.write(path, path.relative_to(there).as_posix())
    return place


def one_byte(path):
    content = bytearray(path.read_bytes())
    content[len(content) // 2] ^= 1
    path.write_bytes(bytes(content))


def relisted(root, path):
    """The list says another digest of a file."""
    text, was = (root / "digests.csv").read_text(encoding="utf-8"), digests(root)[path]["sha256"]
    (root / "digests.csv").write_text(text.replace(was, was[::-1]), encoding="utf-8")


SPOILT = [
    (lambda root: one_byte(root / "photos/T2-05.jpg"), "photos/T2-05.jpg was altered after the kit was written."),
    (lambda root: one_byte(root / "readings.csv"), "readings.csv was altered after the kit was written."),
    (lambda root: (root / "events.csv").unlink(), "events.csv is missing: the kit's list names it."),
    (lambda root: (root / "more.csv").write_text("a\n1\n", encoding="utf-8"), "more.csv was added after the kit was written"),
    (lambda root: relisted(root, "readings.csv"), "readings.csv was altered after the kit was written."),
    (lambda root: (root / "digests.csv").unlink(), "The kit's list of files, digests.csv, cannot be used"),
    (lambda root: (root / "digests.csv").write_text("file\n../x\n", encoding="utf-8"), "its first row is not file, bytes, sha256"),
]


@pytest.mark.parametrize(("how", "said"), SPOILT)
def test_what_was_altered_is_missing_or_was_added_is_named_and_not_taken_in(shelf, made, tmp_path, how, said):
    from fairtank.records.folder.zipped import folder_at
    from fairtank.records.models import Photo, Trial
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    way = "full" if "photos/" in said else "none"
    place = changed(made[2][way].path, tmp_path, how)
    found = trial_verify(root=place)
    assert not found.is_in_order
    assert any(said in line for line in found.words), found.words
    with folder_at(place) as root, pytest.raises((FolderError, InputError)) as refused:
        trial_import(root=root, by=KEEPER)
    assert said.rstrip(".") in str(refused.value) or "digests.csv" in str(refused.value)
    assert not Trial.everything.exists()
    assert not Photo.objects.exists()
    assert not [path for path in (shelf / "photos").rglob("*") if path.is_file()]


def test_a_kit_of_a_later_form_is_refused_by_name(made, tmp_path):
    def later(root):
        place = root / "datapackage.json"
        document = json.loads(place.read_text(encoding="utf-8"))
        document["fairtank"] |= {"form": 3, "software": "fairtank 9.1"}
        place.write_text(json.dumps(document), encoding="utf-8")

    place = changed(made[2]["none"].path, tmp_path, later)
    for look in (lambda: trial_verify(root=place), lambda: check_kit(next((tmp_path / "spoilt").iterdir()))):
        with pytest.raises(InputError, match=r'of form 3, written by "fairtank 9.1"; accepted: a kit of form 2 or earlier\. Use the'):
            look()


def test_a_folder_without_its_list_is_a_folder_like_any_other(made, tmp_path):
    changed(made[2]["none"].path, tmp_path, lambda root: [(root / name).unlink() for name in ("digests.csv", "datapackage.json")])
    check_kit(next((tmp_path / "spoilt").iterdir()))


@pytest.fixture(scope="module")
def sealed(tmp_path_factory):
    place = tmp_path_factory.mktemp("sealed")
    root = kit_trial(place / "trial", places=1)
    trial_seal(root=root, with_data=True)
    judged = judged_by_hand(root)
    return root, judged, cache(lambda way: kit_make(root=root, out=place / f"{way}.zip", wishes=WISHES[way], today=TODAY, judged=judged))


@pytest.mark.parametrize("way", WISHES)
def test_seal_and_stamps_hold_in_a_kit_and_what_cannot_be_held_against_them_is_told(sealed, way):
    root, judged, kit_of = sealed
    kit = kit_of(way)
    found = trial_verify(root=kit.path)
    told = "\n".join(found.words)
    assert found.is_in_order, told
    assert "Every file of the kit is as its list says" in told
    assert {"full": "1 picture was rid of the place where it was taken", "reduced": "16 pictures were made smaller for this kit",
            "none": "16 pictures were left out of this kit"}[way] in told
    with zipfile.ZipFile(kit.path) as archive:
        folder = archive.namelist()[0].partition("/")[0]
        assert archive.read(f"{folder}/seal.json") == (root / "seal.json").read_bytes()
        assert f"**{judged.folder.seal.last.code}**" in archive.read(f"{folder}/README.md").decode()


def test_a_forged_original_does_not_pass_for_the_stamped_photo(sealed, tmp_path):
    _root, judged, kit_of = sealed
    kit = kit_of("none")
    other = judged.folder.file_digests["photos/T3-10.jpg"]
    place = changed(kit.path, tmp_path, lambda folder: (folder / "digests.csv").write_text(
        (folder / "digests.csv").read_text(encoding="utf-8").replace(other, "0" * 64), encoding="utf-8"))
    found = trial_verify(root=place)
    assert not found.is_in_order
    assert "1 picture had another digest before this kit was written than the one that was stamped." in found.words


def test_a_trial_that_goes_on_has_no_kit_and_is_told_when_it_has_one_and_what_to_give_until_then(made, tmp_path):
    root, judged, _, _ = made
    by_then = [replace(one, days=one.days[:2], values=one.values[:2], ses=())
               for one in judged.series if one.days[1:] and one.days[1] <= 10]
    early = judge(judged.folder.plan, by_then, judged.folder.events, today=10)
    with pytest.raises(DesignError, match=r"A trial has a kit once it was read.* day 25.* To let somebody repeat the plan before, give "
                                          r"them trial\.toml, setup\.toml and schedule\.toml") as refused:
        kit_make(root=root, out=tmp_path / "kit.zip", today=date(2026, 3, 11), judged=replace(judged, findings=early))
    assert "  " not in str(refused.value)
    assert list(tmp_path.iterdir()) == []


def test_wishes_that_cannot_be_met_are_refused_in_a_sentence_and_nothing_is_written(made, tmp_path):
    root, judged, _, _ = made
    for wishes, said in ((KitWishes("tiny"), "photos is tiny; accepted: full, reduced, none"), (KitWishes(licence="MIT"), "the licence is "
                                                                                                                          "MIT; accepted: "
                                                                                                                          "CC-BY-4.0")):
        with pytest.raises(InputError, match=said):
            kit_make(root=root, out=tmp_path / "kit.zip", wishes=wishes, today=TODAY, judged=judged)
    with pytest.raises(InputError, match=r"ends in \.zip"):
        kit_make(root=root, out=tmp_path / "kit.tar", today=TODAY, judged=judged)
    (tmp_path / "there.zip").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="which is there already"):
        kit_make(root=root, out=tmp_path / "there.zip", today=TODAY, judged=judged)
    assert [path.name for path in tmp_path.iterdir()] == ["there.zip"]


def test_a_licence_that_lies_in_the_folder_stays_until_another_is_chosen(made, tmp_path):
    root = kit_trial(tmp_path / "trial", more={"LICENCE.txt": "Ask me first.\n"})
    judged = judged_by_hand(root)
    own = kit_make(root=root, out=tmp_path / "own.zip", today=TODAY, judged=judged)
    other = kit_make(root=root, out=tmp_path / "other.zip", wishes=KitWishes(licence="CC-BY-SA-4.0"), today=TODAY, judged=judged)
    said = {kit.facts.licence: zipfile.ZipFile(kit.path).read("less-light-less-algae-invented/LICENCE.txt").decode() for kit in (own,
                                                                                                                                 other)}
    assert said["own"] == "Ask me first.\n"
    assert said["CC-BY-SA-4.0"].startswith("SPDX-License-Identifier: CC-BY-SA-4.0\n")


def test_files_of_the_keepers_own_under_a_name_of_the_kit(made, tmp_path):
    root = kit_trial(tmp_path / "trial", more={"README.md": "My own words.\n"})
    judged = judged_by_hand(root)
    kit = kit_make(root=root, out=tmp_path / "kit.zip", today=TODAY, judged=judged)
    archive = zipfile.ZipFile(kit.path)
    assert archive.read("less-light-less-algae-invented/README.md") == b"My own words.\n"
    assert "less-light-less-algae-invented/README-of-the-kit.md" in archive.namelist()
    (root / "miappe.json").write_text("{}", encoding="utf-8")
    with pytest.raises(InputError, match=r"miappe\.json is a file of your own in the trial folder"):
        kit_make(root=root, out=tmp_path / "more.zip", today=TODAY, judged=judged)


def test_every_field_of_the_standard_is_answered_once(made):
    kit = made[2]["full"]
    counts = miappe_counts(kit.miappe)
    assert counts["filled"] + counts["not_recorded"] + counts["cannot_be_filled"] == counts["fields"] == len({(one.section, one.codename)
                                                                                                              for one in kit.miappe})
    assert [(one.section, one.codename + "*" * one.needed) for one in kit.miappe] == [
        (section, name) for section, names in FIELDS.items() for name in names], "held against the checklist itself by scripts/miappe"
    assert all(one.why for one in kit.miappe if one.state != "filled")
    assert all(one.value and one.where for one in kit.miappe if one.state == "filled")
    told = {one.codename: one for one in kit.miappe}
    assert told["personName"].value == "Ottavine Sarrow"
    assert told["obsUnitFactorValue"].value == ["T1: eight hours", "T2: six hours", "T3: eight hours", "T4: six hours"]
    assert told["locationLatitude"].state == "cannot be filled"
    assert told["organism"].state == "not recorded"


def test_the_software_that_is_named_is_the_software_that_the_project_asks_for():
    project = tomllib.loads((REPOSITORY / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    asked = [one.partition(">")[0] for one in project["dependencies"]] + [one.partition(">")[0]
                                                                          for one in project["optional-dependencies"]["video"]]
    assert list(DIRECT) == asked


def test_no_table_of_the_reader_is_missing_in_the_trial_of_these_tests():
    by_eye = {"scores.csv", "pairs.csv"}
    assert {table.file for table in LISTED} - by_eye <= set(TABLES)
