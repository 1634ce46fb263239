"""Verifying a sealed folder: whatever is changed after it was sealed or stamped is found, named and dated, and nothing else is."""

import json
import shutil
import tomllib
import zipfile
from datetime import UTC, datetime

import pytest
import tomli_w
from tests.records.kits import make_kit

from fairtank.errors import DesignError, FolderError, InputError
from fairtank.publish.verify_words import verified_words
from fairtank.records.folder import read_folder
from fairtank.records.folder.seal import document_text
from fairtank.records.folder.seal_canonical import canonical_1, code_of, digest_of
from fairtank.records.folder.seal_faults import known_of, marks_of
from fairtank.records.folder.seal_rows import marks_of_table, table_change
from fairtank.records.folder.seal_signature import key_make
from fairtank.records.services.drawing import DrawRequest, trial_draw
from fairtank.records.services.sealing import sealed_json, trial_seal
from fairtank.records.services.verifying import trial_verify, verified_json

MARCH, APRIL, MAY, JUNE = (datetime(2026, month, 1, 18, 30, tzinfo=UTC) for month in (3, 4, 5, 6))
READINGS = """unit,taken_at,quantity,value,unit_of_measure,method,below_detection
R1,2026-03-02T18:00,no3,12,mg/L,drops,
R2,2026-03-02T18:05,no3,11.5,mg/L,drops,
C1,2026-03-02T18:10,no3,10,mg/L,"drops, new",
C2,2026-03-09T18:10,no3,8,mg/L,drops,true
"""


@pytest.fixture(scope="module")
def recorded(tmp_path_factory):
    """A trial with values and readings, made once and copied."""
    root = make_kit(tmp_path_factory.mktemp("kit") / "trial", title="Dimmed", sd=0.05)
    (root / "readings.csv").write_text(READINGS, encoding="utf-8")
    return root


@pytest.fixture(scope="module")
def stamped(tmp_path_factory, recorded):
    """The same, sealed before there was data, then stamped."""
    root = tmp_path_factory.mktemp("stamped") / "trial"
    root.mkdir()
    shutil.copy(recorded / "trial.toml", root)
    seal(root)
    for file in ("series.csv", "readings.csv"):
        shutil.copy(recorded / file, root)
    stamp(root)
    return root


@pytest.fixture
def trial(tmp_path, stamped):
    """A copy of it to be changed."""
    shutil.copytree(stamped, tmp_path / "trial")
    return tmp_path / "trial"


@pytest.fixture
def planned(tmp_path, recorded):
    """The plan alone."""
    (tmp_path / "planned").mkdir()
    shutil.copy(recorded / "trial.toml", tmp_path / "planned")
    return tmp_path / "planned"


def seal(root, at=MARCH, reason=None, key=None):
    return trial_seal(root=root, reason=reason, key_file=key, now=lambda: at)


def stamp(root, at=APRIL, reason=None, key=None):
    return trial_seal(root=root, reason=reason, key_file=key, with_data=True, now=lambda: at)


def verify(root, key=""):
    return trial_verify(root=root, key=key).verified


def told(root, key=""):
    return "\n".join(verified_words(verify(root, key)))


def edit(root, file, old, new):
    text = (root / file).read_text(encoding="utf-8")
    assert text.count(old) == 1, (old, text)
    (root / file).write_text(text.replace(old, new), encoding="utf-8")


def spoil(root, how):
    document = json.loads((root / "seal.json").read_text(encoding="utf-8"))
    how(document)
    (root / "seal.json").write_text(document_text(document), encoding="utf-8")


@pytest.mark.parametrize("value", [[], {}, None, 5, "../../x"])
def test_a_digest_that_is_none_is_told_and_never_stops_the_command(trial, value):
    spoil(trial, lambda document: document["stamps"][0].update(stamp_digest=value))
    found = trial_verify(root=trial).verified
    assert not found.is_in_order
    assert any(one.which == "stamp" for one in found.faults)


# in order ------------------------------------------------------------------------------------------------------------


def test_a_folder_without_a_seal_is_told_that_nothing_can_be_verified(recorded):
    found = verify(recorded)
    assert (found.is_sealed, found.is_in_order) == (False, False)
    assert told(recorded).startswith("This folder is not sealed: it has no seal.json, so nothing can be verified.")


def test_a_sealed_plan_and_stamped_data_that_were_not_touched_are_in_order(trial, planned):
    assert verify(trial).is_in_order
    assert told(trial).startswith("Nothing that was sealed or stamped was changed.\n")
    seal(planned)
    assert verify(planned).is_in_order
    assert "The data were never stamped" in told(planned)


def test_rows_that_came_later_are_in_order_and_named(trial):
    with (trial / "readings.csv").open("a", encoding="utf-8") as file:
        file.write("C3,2026-04-02T18:10,no3,8,mg/L,drops,\nC3,2026-03-05T18:10,no3,8,mg/L,drops,\n")
    (trial / "events.csv").write_text("units,at,kind\n*,2026-04-02,feeding\n", encoding="utf-8")
    assert verify(trial).is_in_order
    assert "in readings.csv: rows 6 and 7 were added, 1 of them with a day before the stamp." in told(trial)
    assert "in events.csv: row 2 was added." in told(trial)
    assert "; what came later was added." in told(trial)


def test_an_amendment_while_nothing_was_recorded_is_in_order_and_told(planned):
    seal(planned)
    edit(planned, "trial.toml", "margin = 0.5", "margin = 0.3")
    seal(planned, APRIL, "a typing mistake")
    found = verify(planned)
    assert (found.is_in_order, len(found.amended), found.changes) == (True, 1, ())
    assert "is 0.3 in the amendment of 2026-04-01: amended while nothing was recorded (reason given: “a typing mistake”)." in told(planned)


def test_words_about_the_trial_may_change(trial):
    edit(trial, "trial.toml", 'title = "Dimmed"', 'title = "Dimmer"')
    assert verify(trial).is_in_order
    assert "trial.toml was edited: what is judged by it, the seal holds" in told(trial)


def test_rows_in_another_order_are_no_loss(trial):
    lines = (trial / "series.csv").read_text(encoding="utf-8").splitlines()
    (trial / "series.csv").write_text("\n".join([lines[0], *lines[:0:-1]]) + "\n", encoding="utf-8")
    assert verify(trial).is_in_order
    assert "in series.csv: 89 rows stand in another place, none of them changed." in told(trial)


# tables --------------------------------------------------------------------------------------------------------------


def test_every_single_byte_that_is_changed_in_a_table_is_found(trial):
    """Each byte in turn by others; whether it changes a value or only how the file is written, it is told."""
    content, place = (trial / "readings.csv").read_bytes(), trial / "readings.csv"
    then = marks_of_table(content)
    for number, byte in enumerate(content):
        for other in {ord("8"), ord(","), ord("\n"), 255, byte ^ 1} - {byte}:
            spoilt = content[:number] + bytes([other]) + content[number + 1:]
            assert table_change("readings.csv", then, marks_of_table(spoilt), APRIL) is not None, spoilt
            if number % 97 == 0:
                place.write_bytes(spoilt)
                assert [one.file for one in verify(trial).tables] == ["readings.csv"]
    place.write_bytes(content)
    assert verify(trial).tables == ()


def test_every_cell_that_is_changed_in_a_table_is_found_and_its_row_named(trial):
    rows = [line.split(",") for line in (trial / "series.csv").read_text(encoding="utf-8").splitlines()]
    for number in range(1, len(rows), 29):
        for column in range(len(rows[0])):
            changed = [list(row) for row in rows]
            changed[number][column] = {"0": "9"}.get(changed[number][column], "0")
            (trial / "series.csv").write_text("\n".join(",".join(row) for row in changed) + "\n", encoding="utf-8")
            found = verify(trial)
            assert [one.changed for one in found.tables] == [((number + 1, number + 1),)], changed[number]
            assert not found.is_in_order


def test_removed_rows_and_tables_are_named(trial):
    edit(trial, "readings.csv", 'C1,2026-03-02T18:10,no3,10,mg/L,"drops, new",\n', "")
    (trial / "series.csv").unlink()
    assert not verify(trial).is_in_order
    assert "Since the stamp of 2026-04-01 18:30 UTC, in readings.csv: row 4 was removed (numbered as stamped)." in told(trial)
    assert "in series.csv: the file is gone, with 90 rows." in told(trial)


def test_a_folder_that_cannot_be_read_any_more_is_verified(trial):
    edit(trial, "readings.csv", "no3,11.5", "no3,eleven")
    with pytest.raises(FolderError):
        read_folder(trial)
    assert "in readings.csv: row 3 was changed." in told(trial)


def test_a_correction_needs_a_reason_and_both_stamps_are_kept(trial):
    edit(trial, "readings.csv", "no3,11.5", "no3,1.15")
    with pytest.raises(DesignError, match=r"in readings\.csv: row 3 was changed\. Put it back as it was, or stamp it again with --reason"):
        stamp(trial, MAY)
    done = stamp(trial, MAY, "a slip of the pen")
    assert done.stamp.reason == "a slip of the pen"
    found = verify(trial)
    assert (found.is_in_order, len(found.stamps)) == (False, 2)
    assert ("Between the stamps of 2026-04-01 18:30 UTC and 2026-05-01 18:30 UTC (reason given: “a slip of the pen”), in readings.csv: "
            "row 3 was changed.") in told(trial)


def test_a_change_between_two_stamps_and_one_after_them_are_dated(trial):
    edit(trial, "readings.csv", "no3,11.5", "no3,1.15")
    stamp(trial, MAY, "a slip of the pen")
    edit(trial, "readings.csv", "no3,8,", "no3,9,")
    assert [(one.since.month, one.until and one.until.month, one.changed) for one in verify(trial).tables] == [
        (4, 5, ((3, 3),)), (5, None, ((5, 5),))]


def test_a_plan_that_is_sealed_when_there_are_data_stamps_them_too(tmp_path, recorded):
    root = tmp_path / "late"
    shutil.copytree(recorded, root)
    assert seal(root).has_stamped
    edit(root, "readings.csv", "no3,11.5", "no3,1.15")
    assert "in readings.csv: row 3 was changed." in told(root)
    assert "the seal cannot show that the plan came before the data." in told(root)


def test_stamping_again_without_news_writes_nothing(trial):
    before = (trial / "seal.json").read_bytes()
    again = stamp(trial, MAY)
    assert (again.has_stamped, again.stamp.at) == (False, APRIL)
    assert (trial / "seal.json").read_bytes() == before
    document = json.loads(sealed_json(again))
    assert (document["stamp"]["is_new"], document["stamp"]["rows"], document["done"]) == (False, 94, "unchanged")


def test_photos_and_settings_that_were_changed_or_removed_are_named(trial):
    (trial / "photos").mkdir()
    rows = []
    for place in range(3):
        (trial / "photos" / f"{place}.png").write_bytes(picture(place))
        rows.append(f"photos/{place}.png,R{place + 1},2026-03-0{place + 2}T18:00")
    (trial / "photos.csv").write_text("\n".join(["photo,unit,taken_at", *rows]) + "\n", encoding="utf-8")
    (trial / "events.csv").write_text("units,at,kind\n*,2026-03-02,feeding\n", encoding="utf-8")
    (trial / "notes.toml").write_text("a = 1\n", encoding="utf-8")
    frames(trial)
    stamp(trial, MAY)
    assert verify(trial).is_in_order
    (trial / "photos" / "1.png").write_bytes(picture(9))
    (trial / "photos" / "2.png").unlink()
    (trial / "notes.toml").write_text("a = 2\n", encoding="utf-8")
    text = told(trial)
    assert "Since the stamp of 2026-05-01 18:30 UTC, a picture was changed (photos/1.png)." in text
    assert "Since the stamp of 2026-05-01 18:30 UTC, a picture was removed (photos/2.png)." in text
    assert "a file of settings was changed (notes.toml)." in text
    assert not verify(trial).is_in_order


def picture(shade):
    """A small picture of one grey."""
    import io

    from PIL import Image

    held = io.BytesIO()
    Image.new("RGB", (16, 16), (shade, shade, shade)).save(held, "PNG")
    return held.getvalue()


def frames(root):
    rows = [f"R{place + 1},photos/{place}.png,fixed,front,1,1,15,1,15,15,1,15,40,30" for place in range(3)]
    names = "unit,reference_photo,mode,view,x1,y1,x2,y2,x3,y3,x4,y4,width_cm,height_cm"
    (root / "frames.csv").write_text("\n".join([names, *rows]) + "\n", encoding="utf-8")


def test_without_the_list_of_rows_a_change_is_found_and_not_placed(trial):
    shutil.rmtree(trial / "stamps")
    assert verify(trial).is_in_order
    assert "The list of stamp 1 (stamps/1.json) is missing" in told(trial)
    edit(trial, "readings.csv", "no3,11.5", "no3,1.15")
    assert "in readings.csv: rows were changed or removed, and which ones cannot be told." in told(trial)


def test_a_list_of_rows_that_was_changed_is_found(trial):
    edit(trial, "stamps/1.json", '"form": 2', '"form": 1')
    assert "The list of rows of stamp 1 was changed after it was written" in told(trial)
    assert not verify(trial).is_in_order


# the plan ------------------------------------------------------------------------------------------------------------


def test_a_change_of_the_plan_that_was_never_sealed_is_told(trial):
    edit(trial, "trial.toml", "margin = 0.5", "margin = 0.3")
    assert not verify(trial).is_in_order
    assert ("The smallest difference that matters for algae cover was 0.5 when the plan was sealed on 2026-03-01 and is 0.3 now: changed "
            "after the seal.") in told(trial)


def test_an_edit_while_nothing_is_recorded_says_how_to_put_it_right(planned, recorded):
    seal(planned)
    edit(planned, "trial.toml", "margin = 0.5", "margin = 0.3")
    hint = "Nothing is recorded yet: sealed again, with a reason, it counts like the first seal."
    assert (hint in told(planned), verify(planned).is_in_order, verify(planned).has_data) == (True, False, False)
    shutil.copy(recorded / "series.csv", planned)
    assert (hint in told(planned), verify(planned).has_data) == (False, True)


def test_an_amendment_after_there_was_data_is_told_with_its_reason(trial):
    edit(trial, "trial.toml", "margin = 0.5", "margin = 0.3")
    seal(trial, MAY, "it seemed large")
    found = verify(trial)
    assert (found.is_in_order, found.amended, len(found.changes)) == (False, (), 1)
    assert "changed after the seal, when there was data already (reason given: “it seemed large”)." in told(trial)


def test_a_plan_that_cannot_be_read_is_told(trial):
    (trial / "trial.toml").write_text("[trial\n", encoding="utf-8")
    assert "trial.toml cannot be compared with the seal: " in told(trial)
    (trial / "trial.toml").unlink()
    assert "trial.toml cannot be compared with the seal: the file is missing." in told(trial)


def test_rows_from_before_the_seal_are_told_where_nothing_was_recorded_then(trial):
    edit(trial, "readings.csv", "R1,2026-03-02", "R1,2026-02-20")
    assert "1 row of readings.csv and photos.csv carries a day before the plan was sealed" in told(trial)


# tampering with seal.json --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("how", "words"), [
    (lambda seal: seal["entries"][0]["plan"]["measure"]["algae_cover"].update(margin=0.3),
     "In the seal itself, the smallest difference that matters for algae cover was changed after it was written: 0.5 was sealed, 0.3 "
     "stands there."),
    (lambda seal: seal["entries"][0]["plan"]["unit"].pop("C2"), "In the seal itself, the arm of tank C2 was changed"),
    (lambda seal: seal["entries"][0]["plan"]["design"][""].update(days=50),
     "In the seal itself, the last day that counts was changed after it was written: 42 was sealed, 50 stands there."),
    (lambda seal: seal["entries"][0].update(at="2025-03-01T18:30:00Z"), "In the seal itself, the time was changed after it was written: "
                                                                        "2025-03-01T18:30:00Z stands there now."),
    (lambda seal: seal["entries"][0].update(rows=7), "In the seal itself, the count of values was changed after it was written: 7 stands"),
    (lambda seal: seal["entries"][0].update(code="AAAAA-AAAAA"), "The code of the seal was changed after it was written: AAAAA-AAAAA"),
    (lambda seal: seal["entries"][0].update(digest="00" * 32), "The digest of the seal was changed after it was written"),
    (lambda seal: seal["entries"][0].pop("digest"), "The seal cannot be read: a part of it is missing or of another kind."),
    (lambda seal: seal["stamps"][0].update(entry="00" * 32), "Stamp 1 does not follow what stands before it"),
    (lambda seal: seal["stamps"][0].update(at="2026-03-02T18:30:00Z"), "In stamp 1 itself, the time was changed after it was written"),
    (lambda seal: seal["stamps"][0]["tables"]["readings.csv"].update(rows=3), "In stamp 1 itself, the record of readings.csv was changed"),
    (lambda seal: seal["stamps"][0].update(code="AAAAA-AAAAA"), "The code of stamp 1 was changed"),
    (lambda seal: seal["stamps"][0].update(listing="../../etc/passwd"), "The list of stamp 1 (../../etc/passwd) is missing"),
    (lambda seal: seal["stamps"][0].pop("at"), "Stamp 1 cannot be read"),
    (lambda seal: seal.update(form=3), "seal.json cannot be read: it is of a form that this fairtank does not know."),
    (lambda seal: seal.update(entries=[]), "seal.json cannot be read: the seal was taken out of it."),
])
def test_what_was_changed_in_the_seal_is_named(trial, how, words):
    spoil(trial, how)
    assert not verify(trial).is_in_order
    assert words in told(trial)
    json.loads(verified_json(trial_verify(root=trial)))


def test_a_sealed_value_that_was_changed_in_the_seal_and_in_the_plan_is_named(trial):
    """The natural way to cheat: both places say the new value; the mark of the field still knows better."""
    edit(trial, "trial.toml", "margin = 0.5", "margin = 0.3")
    spoil(trial, lambda seal: seal["entries"][0]["plan"]["measure"]["algae_cover"].update(margin=0.3))
    assert ("In the seal itself, the smallest difference that matters for algae cover was changed after it was written: 0.3 stands there "
            "now.") in told(trial)


def test_a_value_that_was_put_back_from_the_plan_tells_the_change_that_trial_toml_has_not(trial):
    spoil(trial, lambda seal: seal["entries"][0]["plan"]["measure"]["algae_cover"].update(margin=0.3))
    assert verify(trial).changes == ()


@pytest.mark.parametrize("how", [
    lambda seal: seal["entries"][0]["plan"].update(moon={"": {"phase": 1}}), lambda seal: seal["entries"][0].update(plan=3),
    lambda seal: seal["entries"][0]["plan"].update(unit={}), lambda seal: seal["entries"][0]["plan"].update(arm=[]),
    lambda seal: seal["entries"][0].update(fields={}), lambda seal: seal["entries"][0].update(fields=None, form=1),
    lambda seal: seal["entries"].insert(0, 3), lambda seal: seal["entries"].append({}), lambda seal: seal.update(entries={"a": 1}),
    lambda seal: seal.update(stamps=3), lambda seal: seal.update(stamps="abc"), lambda seal: seal["stamps"].append(None),
    lambda seal: seal["stamps"][0].update(tables=[]), lambda seal: seal["entries"][0].update(key={"a": 1}, signature=3),
    lambda seal: seal["entries"][0].update(at="yesterday"), lambda seal: seal["entries"][0].update(rows="many"),
    lambda seal: seal["entries"][0]["plan"]["measure"]["algae_cover"].update(margin={"a": [1]}),
])
def test_a_seal_of_whatever_shape_is_told_and_never_stops_the_verifying(trial, how):
    spoil(trial, how)
    assert verify(trial).faults
    assert not verify(trial).is_in_order
    assert not any(mark in told(trial) for mark in ("{", "[", "None"))
    json.loads(verified_json(trial_verify(root=trial)))


def test_nothing_is_stamped_on_top_of_a_stamp_that_was_changed(trial):
    spoil(trial, lambda seal: seal["stamps"][0].update(reason="other"))
    with pytest.raises(DesignError, match=r"A stamp in seal\.json was changed after it was written"):
        stamp(trial, MAY)
    spoil(trial, lambda seal: seal["stamps"][0].pop("stamp_digest"))
    with pytest.raises(FolderError, match="it cannot be read as a seal"):
        stamp(trial, MAY)


def test_files_that_cannot_be_looked_at_are_told(trial, tmp_path):
    (tmp_path / "elsewhere.csv").write_text("a\n1\n", encoding="utf-8")
    (trial / "own.csv").symlink_to(tmp_path / "elsewhere.csv")
    assert stamp(trial, MAY).uncovered == ("Not covered by the stamp: own.csv (own.csv is a link to another place, or lies behind one).",)
    assert "own.csv could not be looked at: own.csv is a link to another place" in told(trial)


def test_text_that_is_no_json_is_told_with_its_place(trial):
    text = (trial / "seal.json").read_text(encoding="utf-8")
    (trial / "seal.json").write_text(text.replace('"entries": [', '"entries" [', 1), encoding="utf-8")
    assert "seal.json cannot be read: line 3, column 12 is not as it was written." in told(trial)


def test_a_stamp_that_was_taken_out_is_missed_by_the_amendment_after_it(trial):
    edit(trial, "trial.toml", "margin = 0.5", "margin = 0.3")
    seal(trial, MAY, "it seemed large")
    spoil(trial, lambda seal: seal.pop("stamps"))
    assert "A stamp that amendment 1 names is gone from seal.json." in told(trial)


def test_a_first_seal_that_was_taken_out_is_missed_by_the_amendment(planned):
    seal(planned)
    edit(planned, "trial.toml", "margin = 0.5", "margin = 0.3")
    seal(planned, APRIL, "a typing mistake")
    spoil(planned, lambda seal: seal["entries"].pop(0))
    assert "The seal does not follow what stands before it: something was taken out or put in." in told(planned)


def test_every_value_of_the_seal_that_is_changed_is_found(trial):
    """Each leaf of seal.json in turn."""
    text = (trial / "seal.json").read_text(encoding="utf-8")
    count = sum(1 for _ in leaves(json.loads(text)))
    assert count > 150
    for place in range(0, count, 11):
        document = json.loads(text)
        holder, name = list(leaves(document))[place]
        holder[name] = "other" if holder[name] != "other" else "another"
        (trial / "seal.json").write_text(document_text(document), encoding="utf-8")
        assert verify(trial).faults, (name, place)


def leaves(value):
    """Every place in a document that holds a single value, as its holder and name."""
    for name in value if isinstance(value, dict) else range(len(value)):
        if isinstance(value[name], (dict, list)) and value[name]:
            yield from leaves(value[name])
        else:
            yield value, name


# the first form ------------------------------------------------------------------------------------------------------


def first_form(root):
    """seal.json as the first fairtank wrote it, from one of today."""
    entry = json.loads((root / "seal.json").read_text(encoding="utf-8"))["entries"][0]
    for name in ("form", "key", "stamp", "fields", "entry_digest"):
        entry.pop(name)
    entry["digest"] = digest_of(entry["plan"], 1)
    entry["code"] = code_of(entry["digest"])
    entry["entry_digest"] = digest_of({name: entry[name] for name in entry}, 1)
    (root / "seal.json").write_text(json.dumps({"form": 1, "entries": [entry]}, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")


def test_an_older_seal_still_verifies_and_is_amended_and_stamped_in_the_new_form(planned, recorded):
    seal(planned)
    first_form(planned)
    assert canonical_1(json.loads((planned / "seal.json").read_text(encoding="utf-8")))
    assert verify(planned).is_in_order
    assert seal(planned, APRIL).done == "unchanged"
    edit(planned, "trial.toml", "margin = 0.5", "margin = 0.3")
    seal(planned, APRIL, "a typing mistake")
    shutil.copy(recorded / "series.csv", planned)
    stamp(planned, MAY)
    assert verify(planned).is_in_order
    assert [entry.form for entry in verify(planned).entries] == [1, 2]
    spoil(planned, lambda seal: seal["entries"][0].update(rows=9))
    assert "The seal was changed after it was written; which field cannot be told." in told(planned)


def test_an_older_seal_whose_plan_was_changed_is_held_against_trial_toml(planned):
    seal(planned)
    first_form(planned)
    spoil(planned, lambda seal: seal["entries"][0]["plan"]["measure"]["algae_cover"].update(margin=0.3))
    assert "0.5 was sealed, 0.3 stands there." in told(planned)


# signatures ----------------------------------------------------------------------------------------------------------


@pytest.fixture
def keys(tmp_path):
    """Two key files and their codes."""
    return {name: (tmp_path / f"{name}.key", key_make(tmp_path / f"{name}.key")) for name in ("mine", "yours")}


def test_a_signed_seal_and_stamp_name_their_key(trial, keys, planned):
    place, code = keys["mine"]
    seal(planned, key=place)
    stamp(planned, key=place)
    assert verify(planned).is_in_order
    assert verify(planned, code.lower()).is_in_order
    assert f"The seal and stamp 1 are signed with the key {code}; the signatures fit." in told(planned)
    assert not verify(planned, keys["yours"][1]).is_in_order
    assert f"Nothing in seal.json is signed with the key {keys['yours'][1]}." in told(planned, keys["yours"][1])
    assert "Nothing is signed." in told(trial)


def test_a_seal_that_was_made_consistent_again_is_found_by_its_signature(planned, keys):
    """Margin, marks and all digests were computed anew; only the key could sign it."""
    seal(planned, key=keys["mine"][0])

    def cheat(document):
        entry = document["entries"][0]
        entry["plan"]["measure"]["algae_cover"]["margin"] = 0.3
        entry["digest"] = digest_of(entry["plan"])
        entry["code"] = code_of(entry["digest"])
        entry["fields"] = marks_of(entry, tuple(entry["fields"]))
        entry["entry_digest"] = digest_of(known_of(entry))

    spoil(planned, cheat)
    edit(planned, "trial.toml", "margin = 0.5", "margin = 0.3")
    assert read_folder(planned).seal.last.plan["measure"]["algae_cover"]["margin"] == 0.3
    assert not verify(planned).is_in_order
    assert "The signature of the seal does not fit: its content was changed after it was signed, or another key signed it." in told(planned)


def test_a_signature_that_is_gone_is_missed(planned, keys):
    seal(planned, key=keys["mine"][0])
    spoil(planned, lambda seal: seal["entries"][0].pop("signature"))
    assert "The seal was signed, and its signature is gone." in told(planned)


def test_an_amendment_by_another_key_and_one_without_are_told(planned, keys):
    seal(planned, key=keys["mine"][0])
    edit(planned, "trial.toml", "margin = 0.5", "margin = 0.3")
    seal(planned, APRIL, "a typing mistake", keys["yours"][0])
    assert f"Amendment 1 is signed with another key, {keys['yours'][1]}." in told(planned)
    edit(planned, "trial.toml", "margin = 0.3", "margin = 0.4")
    seal(planned, MAY, "again")
    assert "Amendment 2 is not signed, and nothing later that is signed covers it: anybody may have written it." in told(planned)
    assert not verify(planned).is_in_order


def test_a_later_signature_covers_what_was_not_signed(trial, keys):
    stamp(trial, MAY, key=keys["mine"][0])
    found = verify(trial)
    assert (found.is_in_order, [one.code for one in found.signings]) == (True, ["", "", keys["mine"][1]])
    assert verify(trial, keys["mine"][1]).is_in_order


# kits, draws, refusals -----------------------------------------------------------------------------------------------


def test_a_draw_and_the_arms_that_it_gave_are_held_against_each_other(tmp_path):
    root = make_kit(tmp_path / "drawn", values=False)
    trial_draw(root=root, request=DrawRequest(seed=7), out=tmp_path / "out", list_to=tmp_path / "apart", now=lambda: MARCH)
    seal(root, APRIL)
    assert (verify(root).draw, verify(root).is_in_order) == ((), True)
    assert "The arms are those that the lot gave, and its seed gives them again." in told(root)
    unit = read_folder(root).plan.units[0]
    plan = tomllib.loads((root / "trial.toml").read_text(encoding="utf-8"))
    plan["unit"][0]["arm"] = {"R": "C", "C": "R"}[unit.arm]
    (root / "trial.toml").write_text(tomli_w.dumps(plan), encoding="utf-8")
    assert f"The lot gave unit {unit.key} arm {unit.arm}, and trial.toml says {plan['unit'][0]['arm']}." in told(root)
    assert json.loads(verified_json(trial_verify(root=root)))["draw"]["agrees"] is False


def test_a_record_of_draws_that_was_changed_is_told(tmp_path):
    root = make_kit(tmp_path / "drawn", values=False)
    trial_draw(root=root, request=DrawRequest(seed=7), out=tmp_path / "out", list_to=tmp_path / "apart", now=lambda: MARCH)
    seal(root, APRIL)
    edit(root, "draw.json", '"seed": 7', '"seed": 8')
    assert "draw.json: draw 1 was changed after it was written" in told(root)
    (root / "draw.json").write_bytes(b"\xff\xfe")
    assert "draw.json cannot be read" in told(root)


def zipped(root, place, inside=""):
    with zipfile.ZipFile(place, "w") as archive:
        for file in sorted(path for path in root.rglob("*") if path.is_file()):
            archive.write(file, f"{inside}{file.relative_to(root)}")
    return place


@pytest.mark.parametrize("inside", ["", "trial/"])
def test_a_folder_packed_as_one_file_is_verified_like_the_folder(trial, tmp_path, inside):
    kit = zipped(trial, tmp_path / "kit.zip", inside)
    assert verify(kit) == verify(trial)
    assert verify(kit).is_in_order


def test_what_is_no_kit_is_refused_in_words(tmp_path, trial):
    (tmp_path / "no.zip").write_bytes(b"no archive")
    with pytest.raises(InputError, match="It is broken, packed with a password, or no ZIP file"):
        verify(tmp_path / "no.zip")
    kit = bytearray(zipped(trial, tmp_path / "torn.zip").read_bytes())
    kit[60:90] = b"x" * 30
    (tmp_path / "torn.zip").write_bytes(kit)
    with pytest.raises(InputError, match="It is broken, packed with a password, or no ZIP file"):
        verify(tmp_path / "torn.zip")
    with zipfile.ZipFile(tmp_path / "out.zip", "w") as archive:
        archive.writestr("../trial.toml", "")
    with pytest.raises(InputError, match="leads out of the folder"):
        verify(tmp_path / "out.zip")
    with zipfile.ZipFile(tmp_path / "none.zip", "w") as archive:
        archive.writestr("readme.txt", "a")
    with pytest.raises(InputError, match=r"No folder in it has a trial\.toml"):
        verify(tmp_path / "none.zip")
    with pytest.raises(FolderError, match="there is no such folder"):
        verify(tmp_path / "nowhere")
    (tmp_path / "bare").mkdir()
    with pytest.raises(FolderError, match=r"there is no seal\.json either"):
        verify(tmp_path / "bare")


def test_a_seal_that_was_taken_away_beside_its_stamps_is_told(trial):
    (trial / "seal.json").unlink()
    assert "There are lists of stamps in stamps/, so a seal.json was there." in told(trial)


def test_verifying_writes_nothing(trial):
    before = {path: path.read_bytes() for path in trial.rglob("*") if path.is_file()}
    verify(trial)
    assert {path: path.read_bytes() for path in trial.rglob("*") if path.is_file()} == before


def test_json_says_whether_all_is_in_order_and_what_is_not(trial):
    edit(trial, "readings.csv", "no3,11.5", "no3,1.15")
    document = json.loads(verified_json(trial_verify(root=trial)))
    assert (document["in_order"], document["is_sealed"], document["tables"][0]["changed"]) == (False, True, [[3, 3]])
    assert document["harm"] == ["Since the stamp of 2026-04-01 18:30 UTC, in readings.csv: row 3 was changed."]


def test_a_large_seed_can_be_sealed(planned):
    edit(planned, "trial.toml", "drawn = true", f"drawn = true\nseed = {2**63 - 1}")
    seal(planned)
    assert seal(planned, APRIL).done == "unchanged"
    assert verify(planned).is_in_order
