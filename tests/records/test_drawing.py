"""The draw of a trial folder: what it writes, what it refuses, and what it tells."""

import csv
import hashlib
import json
import tomllib
from dataclasses import replace
from datetime import UTC, datetime

import pytest

from fairtank.errors import DesignError, FolderError, InputError
from fairtank.lot import Draw
from fairtank.publish.draw_pages import DrawContent, scoring_data, sheet_data
from fairtank.publish.draw_words import blocked_words, drawn_fact, draws_told, possible_words, steps_words, worked_words
from fairtank.records.folder import read_folder, write_folder
from fairtank.records.folder.draw_json import draws_from_text, text_from_draws
from fairtank.records.folder.plan_edit import text_with
from fairtank.records.folder.problems import Problems
from fairtank.records.services import drawing
from fairtank.records.services.drawing import DrawRequest, draw_check, trial_draw

HEAD = """# written by the keeper
[trial]
title = "A dark break"
mood = "good"  # kept

[design]
kind = "{kind}"  # kept too
start = 2026-03-01
days = 42
{more}

[[arm]]
key = "R"
role = "reference"

[[arm]]
key = "C"
role = "changed"
name = "two blocks of light"

[[measure]]
key = "algae_cover"
role = "primary"
"""
AT = datetime(2026, 2, 20, 18, 30, tzinfo=UTC)


def make(root, units, kind="side_by_side", more=""):
    """A folder with trial.toml alone; each unit is its lines."""
    root.mkdir(parents=True)
    tables = "".join(f"\n[[unit]]\n{lines}\n" for lines in units)
    (root / "trial.toml").write_text(HEAD.format(kind=kind, more=more) + tables, encoding="utf-8")
    return root


def six(root, **more):
    return make(root, [f'key = "T{n}"\nposition = "shelf {(n - 1) // 2 + 1}, place {(n - 1) % 2 + 1}"' for n in range(1, 7)], **more)


@pytest.fixture(autouse=True)
def _without_paper(request, monkeypatch):
    """Setting a sheet on paper takes long and is looked at by one test alone."""
    if "paper" not in request.keywords:
        for name in ("draw_pdf", "scoring_pdf"):
            monkeypatch.setattr(drawing, name, lambda content: b"%PDF")


def draw(root, seed=7, **more):
    return trial_draw(root=root, request=DrawRequest(seed, **more), out=root / "out", now=lambda: AT)


def plan_of(root):
    return tomllib.loads((root / "trial.toml").read_text(encoding="utf-8"))


def test_arms_that_were_left_out_are_written_and_all_else_stays(tmp_path):
    root = six(tmp_path / "t")
    before = (root / "trial.toml").read_text(encoding="utf-8")
    made = draw(root, block=("shelf",), witness="a friend")
    after = (root / "trial.toml").read_text(encoding="utf-8")
    added = {"drawn = true", "seed = 7", 'arm = "R"', 'arm = "C"', *(f'block = "shelf {n}"' for n in (1, 2, 3))}
    assert [line for line in after.splitlines() if line not in added] == before.splitlines()
    assert {unit["key"]: unit["arm"] for unit in plan_of(root)["unit"]} == dict(made.draw.arms)
    folder = read_folder(root)
    assert folder.draws == (made.draw,)
    assert folder.plan.drawn
    assert (made.draw.possible, made.draw.witness, made.draw.at) == (8, "a friend", AT)


def test_the_same_seed_gives_the_same_draw_in_another_folder(tmp_path):
    one, other = draw(six(tmp_path / "a"), 482915), draw(six(tmp_path / "b"), 482915)
    assert one.draw == other.draw
    assert (tmp_path / "a" / "draw.json").read_bytes() == (tmp_path / "b" / "draw.json").read_bytes()


def test_an_arm_in_place_is_replaced_and_a_plan_in_braces_is_written_anew(tmp_path):
    root = tmp_path / "t"
    root.mkdir()
    text = HEAD.format(kind="side_by_side", more="")
    units = ", ".join(f'{{key = "T{n}", arm = "{"RC"[n % 2]}"}}' for n in range(4))
    (root / "trial.toml").write_text(f"unit = [{units}]\n{text}", encoding="utf-8")
    made = draw(root)
    assert {unit["key"]: unit["arm"] for unit in plan_of(root)["unit"]} == dict(made.draw.arms)
    assert plan_of(root)["trial"]["mood"] == "good"


def test_the_sealed_list_lies_outside_and_the_scorers_sheet_tells_no_arm(tmp_path):
    root = six(tmp_path / "t")
    made = draw(root)
    rows = list(csv.DictReader(made.sealed_list.read_text(encoding="utf-8").splitlines()))
    assert not made.sealed_list.is_relative_to(root)
    assert {row["unit"]: row["arm"] for row in rows} == dict(made.draw.arms)
    assert {row["unit"]: row["code"] for row in rows} == dict(made.codes)
    content = DrawContent(made.plan, made.draw, made.drawn, made.codes)
    told = json.dumps(scoring_data(content)["rows"])
    assert all(code in told for code in dict(made.codes).values())
    assert not any(unit in told for unit, _ in made.draw.arms)
    assert scoring_data(content)["rows"] == [[str(n), dict(made.codes)[unit]] for n, unit in enumerate(made.draw.scoring, start=1)]


def test_codes_of_cards_that_are_there_are_used(tmp_path):
    root = six(tmp_path / "t")
    (root / "cards.csv").write_text("unit,card,code\nT3,4,BOV\n", encoding="utf-8")
    assert dict(draw(root).codes)["T3"] == "BOV"


def test_a_list_inside_the_trial_folder_is_refused_and_nothing_is_written(tmp_path):
    root = six(tmp_path / "t")
    with pytest.raises(InputError, match="outside the trial folder"):
        trial_draw(root=root, request=DrawRequest(7), out=root / "out", list_to=root / "list")
    assert sorted(path.name for path in root.iterdir()) == ["trial.toml"]


def test_a_second_draw_needs_a_reason_and_both_are_kept_and_told(tmp_path):
    root = six(tmp_path / "t")
    first = draw(root)
    assert draw(root).done == "unchanged"
    with pytest.raises(DesignError, match="drawn already, on 2026-02-20 with seed 7"):
        draw(root, 8)
    again = draw(root, 8, reason="tank 4  leaked")
    folder = read_folder(root)
    assert [one.seed for one in folder.draws] == [7, 8]
    assert folder.draws[0] == first.draw
    assert again.draw.reason == "tank 4 leaked"
    (told,) = draws_told(folder.plan, folder.draws)
    assert told.startswith("The arms were drawn with seed 7 on 2026-02-20 and drawn again with seed 8")
    assert "(reason given: “tank 4 leaked”)" in told
    assert "This was draw 2" in drawn_fact(folder.draws)


@pytest.mark.parametrize(("file", "text", "said"), [
    ("series.csv", "unit,day,measure,value,se\nT1,3,algae_cover,12,\n", "data already"),
    ("readings.csv", "unit,taken_at,quantity,value,unit_of_measure,method,below_detection\nT1,2026-03-02,kh,4,dKH,,\n", "data already"),
])
def test_a_draw_after_the_first_data_needs_a_reason_and_is_told(tmp_path, file, text, said):
    root = six(tmp_path / "t")
    (root / file).write_text(text, encoding="utf-8")
    with pytest.raises(DesignError, match=said):
        draw(root)
    draw(root, reason="the run-in came first")
    folder = read_folder(root)
    assert "made when there was data already (reason given: “the run-in came first”)" in draws_told(folder.plan, folder.draws)[0]


def test_a_plan_that_says_drawn_without_a_record_is_drawn_and_told(tmp_path):
    root = six(tmp_path / "t", more="drawn = true\nseed = 3")
    draw(root)
    folder = read_folder(root)
    assert "trial.toml said already that the arms were drawn with seed 3" in draws_told(folder.plan, folder.draws)[0]


def test_a_draw_is_worked_out_again_and_an_arm_changed_by_hand_is_found(tmp_path):
    root = six(tmp_path / "t")
    draw(root)
    assert draw_check(root=root).wrong == ()
    text = (root / "trial.toml").read_text(encoding="utf-8")
    at = text.index("arm = ", text.index('key = "T1"'))
    was = text[at + 7]
    (root / "trial.toml").write_text(f"{text[: at + 7]}{'C' if was == 'R' else 'R'}{text[at + 8 :]}", encoding="utf-8")
    assert any(one.startswith(f"The lot gave tank T1 arm {was}") for one in draw_check(root=root).wrong)


def test_a_record_changed_by_hand_is_refused(tmp_path):
    root = six(tmp_path / "t")
    draw(root)
    record = root / "draw.json"
    record.write_text(record.read_text(encoding="utf-8").replace('"seed": 7', '"seed": 9'), encoding="utf-8")
    with pytest.raises(FolderError, match=r"draw\.json: draw 1 was changed after it was written"):
        read_folder(root)


def test_a_first_draw_that_was_taken_out_is_noticed(tmp_path):
    root = six(tmp_path / "t")
    draw(root)
    draw(root, 8, reason="why")
    record = json.loads((root / "draw.json").read_text(encoding="utf-8"))
    (root / "draw.json").write_text(json.dumps({**record, "draws": record["draws"][1:]}), encoding="utf-8")
    with pytest.raises(FolderError, match="digest does not fit"):
        read_folder(root)


def test_nothing_to_check_is_refused(tmp_path):
    with pytest.raises(DesignError, match=r"no draw\.json"):
        draw_check(root=six(tmp_path / "t"))


def test_draws_are_read_back_as_they_were_written_however_large_their_numbers():
    one = Draw(2**63 - 1, AT, "fairtank lot 1", (("T1", "R"),), (), 2**100, places=(("T1", "left"),), window=(1, 4), drawn_day=3)
    problems = Problems()
    assert draws_from_text(text_from_draws((one, replace(one, reason="why"))), problems) == (one, replace(one, reason="why"))
    assert not problems


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"form": 1, "draws": []}', '{"form": 9, "draws": []}', '{"form": 1, "draws": [3]}'])
def test_what_is_no_record_of_draws_is_refused(text):
    problems = Problems()
    assert draws_from_text(text, problems) == ()
    assert problems


def test_a_copy_of_a_folder_keeps_its_draws(tmp_path):
    root = six(tmp_path / "t")
    draw(root)
    folder = read_folder(root)
    write_folder(tmp_path / "copy", folder.plan, draws=folder.draws)
    assert (tmp_path / "copy" / "draw.json").read_bytes() == (root / "draw.json").read_bytes()


def test_in_a_swap_the_lot_says_which_arm_comes_first(tmp_path):
    root = six(tmp_path / "t", kind="swap", more="swap_day = 21")
    made = draw(root)
    assert {unit["key"]: unit["first_arm"] for unit in plan_of(root)["unit"]} == dict(made.draw.arms)


def test_a_drawn_start_gets_its_day(tmp_path):
    root = make(tmp_path / "t", ['key = "T1"', 'key = "T2"'], kind="drawn_start", more="start_window = [10, 23]")
    made = draw(root)
    assert plan_of(root)["design"]["drawn_day"] == made.draw.drawn_day
    assert made.draw.possible == 28
    assert draw_check(root=root).wrong == ()


def test_pairs_are_drawn_one_by_one(tmp_path):
    root = make(tmp_path / "t", [f'key = "T{n}"\npair = "P{n // 2}"' for n in range(6)], kind="pairs")
    made = draw(root)
    assert made.draw.possible == 8
    for pair in ("P0", "P1", "P2"):
        assert sorted(unit["arm"] for unit in plan_of(root)["unit"] if unit["pair"] == pair) == ["C", "R"]


def test_places_are_drawn_and_worked_out_again(tmp_path):
    root = six(tmp_path / "t")
    made = draw(root, block=("neighbours",), places=True)
    placed = {unit["key"]: unit["position"] for unit in plan_of(root)["unit"]}
    assert placed == dict(made.draw.places)
    assert sorted(placed.values()) == sorted(place for _, place in made.draw.places_before)
    assert draw_check(root=root).wrong == ()
    assert draw(root, block=("neighbours",)).done == "unchanged"


def test_rows_and_columns_go_together(tmp_path):
    with pytest.raises(InputError, match="one of them alone"):
        draw(six(tmp_path / "t"), rows="shelf")


def test_a_seed_of_the_system_is_asked_for_and_kept(tmp_path):
    root = six(tmp_path / "t")
    made = trial_draw(root=root, request=DrawRequest(), out=root / "out", now=lambda: AT, chance=lambda below: below - 1)
    assert (made.draw.seed, made.draw.seed_from) == (10**9 - 1, "system")


def test_words_tell_how_many_draws_there_were_and_how_the_first_number_came(tmp_path):
    made = draw(six(tmp_path / "t"))
    digits = hashlib.sha256(b"7:arms 1:0").hexdigest()[:8]
    assert possible_words(made.draw) == "There were 20 possible draws of the arms, all equally likely."
    assert blocked_words(made.draw) == "Drawn without blocks, with every arm equally often in all."
    assert f"begins with {digits}" in worked_words(made.drawn)
    assert f"it leaves {int(digits, 16) % 6}." in worked_words(made.drawn)
    assert any("list every arm" in step for step in steps_words(made.draw, made.drawn))


def test_single_values_of_a_plan_are_replaced_where_they_stand():
    text = '# a\n[design]\nseed = 3  # old\n[[unit]]\nkey = "T1"\narm = "R" # here\n[[unit]]\nkey = "T2"\n'
    assert text_with(text, {"seed": 9}, {"T1": {"arm": "C"}, "T2": {"arm": "R"}}) == (
        '# a\n[design]\nseed = 9  # old\n[[unit]]\nkey = "T1"\narm = "C" # here\n[[unit]]\nkey = "T2"\narm = "R"\n')
    assert text_with('unit = [{key = "T1"}]\n[design]\nseed = 1\n', {}, {"T1": {"arm": "C"}}) is None


@pytest.mark.parametrize("title", ["plain", "odd # \u0007 \u202e title"])
def test_the_sheet_shows_every_number_and_every_unit(tmp_path, title):
    made = draw(six(tmp_path / "t"))
    data = sheet_data(DrawContent(replace(made.plan, title=title), made.draw, made.drawn, made.codes))
    assert [cell["unit"] for row in data["shelves"] for cell in row["cells"]] == [f"T{n}" for n in range(1, 7)]
    assert sum(len(rows) for _, rows in data["numbers"]) == sum(len(lot.used) for lot in made.drawn.lots)
    assert "\u202e" not in data["title"]
