"""Verifying a seal that was itself tampered with, an older form of it, its signatures, and the draw beside it."""

import json
import shutil
import tomllib

import pytest
import tomli_w
from tests.records.kits import make_kit
from tests.records.services.sealed_trials import APRIL, MARCH, MAY, edit, seal, spoil, stamp, told, verify

from fairtank.errors import DesignError, FolderError
from fairtank.records.folder import read_folder
from fairtank.records.folder.seal import document_text
from fairtank.records.folder.seal_canonical import canonical_1, code_of, digest_of
from fairtank.records.folder.seal_faults import known_of, marks_of
from fairtank.records.folder.seal_signature import key_make
from fairtank.records.services.drawing import DrawRequest, trial_draw
from fairtank.records.services.verifying import trial_verify, verified_json

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
    assert f"The lot gave tank {unit.key} arm {unit.arm}, and trial.toml says {plan['unit'][0]['arm']}." in told(root)
    assert json.loads(verified_json(trial_verify(root=root)))["draw"]["agrees"] is False


def test_a_record_of_draws_that_was_changed_is_told(tmp_path):
    root = make_kit(tmp_path / "drawn", values=False)
    trial_draw(root=root, request=DrawRequest(seed=7), out=tmp_path / "out", list_to=tmp_path / "apart", now=lambda: MARCH)
    seal(root, APRIL)
    edit(root, "draw.json", '"seed": 7', '"seed": 8')
    assert "draw.json: draw 1 was changed after it was written" in told(root)
    (root / "draw.json").write_bytes(b"\xff\xfe")
    assert "draw.json cannot be read" in told(root)
