"""Verifying a sealed folder: whatever is changed after it was sealed or stamped is found, named and dated, and nothing else is."""

import json
import shutil
import zipfile

import pytest
from tests.records.services.sealed_trials import APRIL, MAY, edit, seal, spoil, stamp, told, verify

from fairtank.errors import DesignError, FolderError, InputError
from fairtank.records.folder import read_folder
from fairtank.records.folder.seal_rows import marks_of_table, table_change
from fairtank.records.services.sealing import sealed_json
from fairtank.records.services.verifying import trial_verify, verified_json


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
    with pytest.raises(InputError, match=r"readings\.csv in it is damaged"):
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
