"""The seal of a plan: what it holds, that it cannot be changed unseen, and what a change does to the judging."""

import base64
import hashlib
import json
import math
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest
from tests.records.kits import make_kit

from checking import every
from fairtank.errors import DesignError, FolderError
from fairtank.records.folder import read_folder
from fairtank.records.folder.seal_canonical import canonical_1, code_of, digest_of
from fairtank.records.folder.seal_parts import parts_of
from fairtank.records.services.sealing import sealed_json, trial_seal
from fairtank.records.services.trials import trial_judge
from fairtank.trial import Looks
from inference.trials import measure, plan_of

TAG = "changed after the seal"
MARCH, APRIL, MAY = (datetime(2026, month, 1, 18, 30, tzinfo=UTC) for month in (3, 4, 5))


@pytest.fixture
def trial(tmp_path):
    """A trial of three tanks per arm with values that differ by about 0.45 log-odds."""
    return make_kit(tmp_path / "trial", title="Dimmed", sd=0.05, reference=12.0, changed=8.0)


@pytest.fixture
def planned(tmp_path):
    """The same before anything was recorded."""
    return make_kit(tmp_path / "planned", title="Dimmed", values=False)


def edit(root, old, new):
    text = (root / "trial.toml").read_text(encoding="utf-8")
    assert text.count(old) == 1, (old, text)
    (root / "trial.toml").write_text(text.replace(old, new), encoding="utf-8")


def seal(root, at=MARCH, reason=None):
    return trial_seal(root=root, reason=reason, now=lambda: at)


def values_into(root, other):
    (root / "series.csv").write_bytes((other / "series.csv").read_bytes())


def stored(root):
    return json.loads((root / "seal.json").read_text(encoding="utf-8"))


# what it holds -------------------------------------------------------------------------------------------------------


def test_the_seal_holds_every_judged_part_with_its_digest_time_and_code(planned):
    sealed = seal(planned)
    entry = stored(planned)["entries"][0]
    assert entry["at"] == "2026-03-01T18:30:00Z"
    assert set(entry["plan"]) == {"design", "arm", "unit", "measure", "looks"}
    assert entry["plan"]["measure"]["algae_cover"] == {"role": "primary", "summary": "mean", "scale": "logit", "margin": 0.5,
                                                       "window": None, "threshold": None}
    assert entry["plan"]["unit"]["C2"]["arm"] == "C"
    assert {"expect", "blinded", "earlier_tanks", "start"} <= set(entry["plan"]["design"][""])
    import rfc8785

    digest = hashlib.sha256(rfc8785.dumps(entry["plan"])).hexdigest()
    assert entry["digest"] == sealed.sealing.digest == digest
    assert sealed.sealing.code.replace("-", "") == base64.b32encode(bytes.fromhex(digest)).decode()[:10]
    assert (entry["rows"], entry["photos"], entry["data_digest"]) == (0, 0, "")


@pytest.mark.as_it_was("the usual example of base32, literature value, from memory, 2026-11-25")
def test_the_code_is_the_start_of_base32():
    assert code_of(b"foobar".hex()) == "MZXW6-YTBOI"


def test_the_older_canonical_text_sorts_keys_keeps_signs_and_writes_floats_as_python_does():
    assert canonical_1({"ö": 0.1, "a": [1, 2.0, None, True], "b": {"z": 1e-7, "y": "é"}}) == \
        '{"a":[1,2.0,null,true],"b":{"y":"é","z":1e-07},"ö":0.1}'
    with pytest.raises(ValueError, match="JSON"):
        canonical_1(math.nan)


def test_the_digest_does_not_depend_on_the_order_in_the_file_nor_on_whole_numbers():
    one = plan_of(choice=measure(margin=1))
    other = replace(one, measures=(replace(one.measures[0], margin=1.0),), units=one.units[::-1])
    assert digest_of(parts_of(one)) == digest_of(parts_of(other))


@every("change", [
    {"days": 41}, {"kind": "run_in"}, {"start": date(2026, 3, 2)}, {"blinded": True}, {"expect": "less"}, {"earlier_tanks": False},
    {"drawn": False}, {"seed": 8}, {"shared_water": True}, {"looks": Looks((14, 42), (0.01, 0.04))}, {"compare": "all"},
    {"tank_litres": 54.0}, {"measures": (measure(margin=0.1),)}, {"measures": (measure(window=(0, 30)),)}, {"measures": (measure("log"),)},
    {"arms": plan_of().arms[:1]}, {"units": plan_of(4, 3).units},
])
def test_every_judged_part_moves_the_digest(change):
    assert digest_of(parts_of(replace(plan_of(), **change))) != digest_of(parts_of(plan_of()))


@pytest.mark.parametrize("change", [{"title": "Another"}, {"rationale": "because"}, {"keeper": "me"}, {"place": "there"}])
def test_words_about_the_trial_do_not_move_it(change):
    assert digest_of(parts_of(replace(plan_of(), **change))) == digest_of(parts_of(plan_of()))


def test_saying_the_scale_that_the_measure_has_anyway_is_no_change(planned):
    edit(planned, 'scale = "logit"\n', "")
    seal(planned)
    edit(planned, 'summary = "mean"\n', 'summary = "mean"\nscale = "logit"\n')
    assert seal(planned, APRIL).done == "unchanged"


# sealing again -------------------------------------------------------------------------------------------------------


def test_sealing_again_without_a_change_changes_nothing(planned):
    seal(planned)
    before = (planned / "seal.json").read_bytes()
    assert seal(planned, APRIL, reason="for good measure").done == "unchanged"
    assert (planned / "seal.json").read_bytes() == before


@pytest.mark.parametrize("reason", [None, "", "  \n "])
def test_a_changed_plan_is_not_sealed_again_without_a_reason(planned, reason):
    seal(planned)
    before = (planned / "seal.json").read_bytes()
    edit(planned, "margin = 0.5", "margin = 0.3")
    with pytest.raises(DesignError, match=r"algae cover was 0\.5 when the plan was sealed on 2026-03-01 and is 0\.3 now") as refused:
        seal(planned, APRIL, reason)
    assert "--reason" in str(refused.value)
    assert (planned / "seal.json").read_bytes() == before


def test_with_a_reason_the_amendment_is_added_and_the_first_seal_stays(planned, trial):
    first = seal(planned).sealing
    values_into(planned, trial)
    edit(planned, "margin = 0.5", "margin = 0.3")
    amended = seal(planned, APRIL, "a typing\nmistake")
    assert (amended.done, amended.first.code, len(amended.changes)) == ("amended", first.code, 1)
    entries = stored(planned)["entries"]
    assert [entry["code"] for entry in entries] == [first.code, amended.sealing.code]
    assert (entries[1]["reason"], entries[1]["rows"], entries[1]["before"]) == ("a typing mistake", 90, entries[0]["entry_digest"])
    assert read_folder(planned).seal.entries[0] == first


def test_keys_that_a_later_version_adds_are_kept(planned):
    seal(planned)
    document = stored(planned)
    document["signature"], document["entries"][0]["calendar"] = "kept", {"stamp": 1}
    (planned / "seal.json").write_text(json.dumps(document), encoding="utf-8")
    edit(planned, "margin = 0.5", "margin = 0.3")
    seal(planned, APRIL, "a reason")
    assert (stored(planned)["signature"], stored(planned)["entries"][0]["calendar"]) == ("kept", {"stamp": 1})


def test_json_tells_what_was_done(planned):
    document = json.loads(sealed_json(seal(planned)))
    assert (document["done"], document["at"], document["data"]) == ("sealed", "2026-03-01T18:30:00+00:00",
                                                                    {"values": 0, "photos": 0, "digest": None})


# tampering -----------------------------------------------------------------------------------------------------------


def spoil(root, how):
    document = stored(root)
    how(document)
    (root / "seal.json").write_text(json.dumps(document), encoding="utf-8")


@pytest.mark.parametrize("how", [
    lambda seal: seal["entries"][0]["plan"]["measure"]["algae_cover"].update(margin=0.3),
    lambda seal: seal["entries"][0].update(at="2025-03-01T18:30:00Z"),
    lambda seal: seal["entries"][0].update(rows=0),
    lambda seal: seal["entries"][0].update(code="AAAAA-AAAAA"),
    lambda seal: seal["entries"][0].update(reason="none"),
    lambda seal: seal["entries"][0].update(digest="00" * 32),
])
def test_a_seal_that_was_tampered_with_is_refused_in_a_sentence(trial, how):
    seal(trial)
    spoil(trial, how)
    with pytest.raises(FolderError, match=r"seal\.json: the seal was changed after it was written: its digest does not fit its content"):
        trial_judge(root=trial)


def test_the_first_seal_cannot_be_taken_out_from_below_an_amendment(planned):
    seal(planned)
    edit(planned, "margin = 0.5", "margin = 0.3")
    seal(planned, APRIL, "a reason")
    spoil(planned, lambda seal: seal["entries"].pop(0))
    with pytest.raises(FolderError, match="the seal was changed after it was written"):
        read_folder(planned)


@pytest.mark.parametrize("text", ["{", "[]", "null", "{}", '{"form": 1, "entries": []}', '{"form": 1, "entries": [1]}',
                                  '{"form": 1, "entries": [{"plan": NaN}]}'])
def test_what_is_no_seal_is_refused(planned, text):
    (planned / "seal.json").write_text(text, encoding="utf-8")
    with pytest.raises(FolderError, match=r"seal\.json: it cannot be read as a seal"):
        read_folder(planned)


def test_a_seal_of_another_form_is_refused_by_its_form(planned):
    seal(planned)
    spoil(planned, lambda seal: seal.update(form=3))
    with pytest.raises(FolderError, match="3 is another form of seal"):
        read_folder(planned)


# judging -------------------------------------------------------------------------------------------------------------


def sealed_before_data(planned, trial):
    """The plan sealed, then the values of the trial."""
    seal(planned)
    values_into(planned, trial)
    return planned


def test_an_unchanged_seal_says_nothing_about_the_finding(planned, trial):
    sealed_before_data(planned, trial)
    assert replace(trial_judge(root=planned).findings[0]) == trial_judge(root=trial).findings[0]


def test_a_margin_changed_after_the_seal_does_not_count_and_is_told(planned, trial):
    sealed_before_data(planned, trial)
    before = trial_judge(root=planned).findings[0]
    edit(planned, "margin = 0.5", "margin = 0.2")
    found = trial_judge(root=planned).findings[0]
    assert (found.margin, found.grade) == (0.5, before.grade)
    assert TAG in found.tags
    assert found.cautions[-2:] == (
        "The smallest difference that matters for algae cover was 0.5 when the plan was sealed on 2026-03-01 and is 0.2 now: changed after "
        "the seal.",
        "Judged by the smallest difference that matters for algae cover that was sealed, 0.5.",
    )


def test_the_changed_margin_would_have_given_another_grade(planned, trial):
    """So that the test above can fail: unsealed, the smaller margin claims that the difference matters."""
    values_into(planned, trial)
    assert trial_judge(root=planned).findings[0].grade == "differs"
    edit(planned, "margin = 0.5", "margin = 0.2")
    assert trial_judge(root=planned).findings[0].grade == "matters"


def test_an_amendment_before_there_was_data_counts_like_the_first_seal(planned, trial):
    seal(planned)
    edit(planned, "margin = 0.5", "margin = 0.2")
    seal(planned, APRIL, "a typing mistake")
    values_into(planned, trial)
    found = trial_judge(root=planned).findings[0]
    assert (found.margin, found.grade, TAG in found.tags) == (0.2, "matters", False)


def test_an_amendment_after_there_was_data_is_told_and_its_margin_does_not_count(planned, trial):
    sealed_before_data(planned, trial)
    edit(planned, "margin = 0.5", "margin = 0.2")
    seal(planned, MAY, "it seemed large")
    found = trial_judge(root=planned).findings[0]
    assert (found.margin, TAG in found.tags) == (0.5, True)
    assert found.cautions[-2].endswith("and is 0.2 in the amendment of 2026-05-01: changed after the seal, when there was data already "
                                       "(reason given: “it seemed large”).")


def test_a_margin_that_was_never_sealed_does_not_count(tmp_path, trial):
    bare = make_kit(tmp_path / "bare", title="Dimmed", values=False, margin=None)
    sealed_before_data(bare, trial)
    edit(bare, 'summary = "mean"\n', 'summary = "mean"\nmargin = 0.2\n')
    found = trial_judge(root=bare).findings[0]
    assert (found.margin, found.grade) == (None, "differs")
    assert found.cautions[-1] == ("None was sealed as the smallest difference that matters for algae cover, so that of 0.2 does not count: "
                                  "none is used.")


def test_a_sealed_margin_is_not_carried_to_another_scale(planned, trial):
    sealed_before_data(planned, trial)
    edit(planned, 'scale = "logit"', 'scale = "identity"')
    found = trial_judge(root=planned).findings[0]
    assert found.margin is None
    assert "belongs to another summary or scale" in found.cautions[-1]


@pytest.mark.parametrize(("old", "new", "told"), [
    ("drawn = true", "drawn = false", "The word on whether the arms were drawn by lot was yes when the plan was sealed on 2026-03-01 "
                                      "and is no now: changed after the seal."),
    ("days = 42", "days = 40", "The last day that counts was 42 when the plan was sealed on 2026-03-01 and is 40 now: changed after the "
                               "seal."),
    ('name = "dimmed"', 'name = "darker"', "The name of arm C was dimmed when the plan was sealed on 2026-03-01 and is darker now: changed "
                                           "after the seal."),
    ('expect = "either"', 'expect = "less"', "The expectation was either when the plan was sealed on 2026-03-01 and is less now: changed "
                                             "after the seal."),
])
def test_each_changed_field_gives_its_sentence(planned, trial, old, new, told):
    sealed_before_data(planned, trial)
    edit(planned, old, new)
    if old == "days = 42":
        values = (planned / "series.csv").read_text(encoding="utf-8").splitlines()
        (planned / "series.csv").write_text("\n".join(line for line in values if ",42," not in line) + "\n", encoding="utf-8")
    found = trial_judge(root=planned).findings[0]
    assert told in found.cautions
    assert TAG in found.tags


def test_a_measure_that_came_after_the_seal_is_told_beside_every_finding(planned, trial):
    sealed_before_data(planned, trial)
    text = (planned / "trial.toml").read_text(encoding="utf-8")
    (planned / "trial.toml").write_text(f'{text}\n[[measure]]\nkey = "canopy_height"\n', encoding="utf-8")
    findings = trial_judge(root=planned).findings
    assert len(findings) == 2
    for found in findings:
        assert any(text.startswith("The measure canopy height was not in the plan that was sealed on") for text in found.cautions)


def test_a_plan_that_was_sealed_when_there_was_data_says_so_without_the_tag(trial):
    seal(trial)
    found = trial_judge(root=trial).findings[0]
    assert found.cautions[-1] == ("When the plan was sealed on 2026-03-01, 90 values were there already: the seal cannot show that the "
                                  "plan came before the data.")
    assert TAG not in found.tags


def test_the_seal_is_part_of_what_is_judged(trial):
    before = read_folder(trial).digest
    seal(trial)
    assert read_folder(trial).digest != before
