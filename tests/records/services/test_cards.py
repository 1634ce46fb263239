"""Cards of a trial: drawn by lot from the seed, kept in cards.csv, checked when they are read, and told apart from arms."""

from collections import Counter
from dataclasses import replace
from itertools import combinations

import pytest
from tests.records.kits import make_kit

from fairtank.card import MOST_CARDS, cards_by_lot, cards_of_plan
from fairtank.errors import FolderError, InputError, JobError
from fairtank.records.folder import read_folder, write_folder
from fairtank.records.services.cards import trial_cards
from fairtank.trial import CardOfUnit


@pytest.fixture
def planned(tmp_path):
    return make_kit(tmp_path / "planned", values=False)


def units_of(root):
    return [unit.key for unit in read_folder(root).plan.units]


def test_every_unit_gets_a_card_and_a_code_of_its_own_and_both_files_are_written(planned):
    made = trial_cards(root=planned, out=planned / "out", stickers=True)
    assert [one.unit for one in made.cards] == units_of(planned)
    assert made.added == len(made.cards) == 6
    assert len({one.card for one in made.cards}) == len({one.code for one in made.cards}) == 6
    assert made.sheets.read_bytes().startswith(b"%PDF")
    assert made.stickers.read_bytes().startswith(b"%PDF")
    assert read_folder(planned).cards == made.cards


def test_a_second_call_changes_nothing(planned):
    first = trial_cards(root=planned, out=planned / "out")
    before = {path: path.read_bytes() for path in (first.table, first.sheets)}
    again = trial_cards(root=planned, out=planned / "out")
    assert (again.cards, again.added, again.stickers) == (first.cards, 0, None)
    assert {path: path.read_bytes() for path in before} == before


def test_what_stands_in_cards_csv_is_kept_with_its_further_columns_and_the_rest_is_drawn(planned):
    (planned / "cards.csv").write_text("unit,card,code,laminated\nC1,4,MINE,yes\n", encoding="utf-8")
    made = trial_cards(root=planned, out=planned / "out")
    own = {one.unit: one for one in made.cards}
    assert own["C1"] == CardOfUnit("C1", 4, "MINE")
    assert made.added == 5
    assert Counter(one.card for one in made.cards).most_common(1)[0][1] == 1
    lines = (planned / "cards.csv").read_text(encoding="utf-8").splitlines()
    assert lines[:2] == ["unit,card,code,laminated", "C1,4,MINE,yes"]
    assert all(line.endswith(",") for line in lines[2:])
    assert trial_cards(root=planned, out=planned / "out").cards == made.cards


def test_cards_travel_with_a_folder_that_is_written_anew(planned, tmp_path):
    trial_cards(root=planned, out=planned / "out")
    folder = read_folder(planned)
    write_folder(tmp_path / "copy", folder.plan, cards=folder.cards)
    assert read_folder(tmp_path / "copy").cards == folder.cards
    assert "cards.csv" in folder.file_digests


@pytest.mark.parametrize(("row", "told"), [
    ("R9,2,KAL", "cards.csv, row 3, column unit: R9 is not"),
    ("R1,2,KAL", "cards.csv, row 3, column unit: the unit R1 is already in row 2"),
    ("R2,1,KAL", "cards.csv, row 3, column card: the card 1 is already in row 2"),
    ("R2,2,wum", "cards.csv, row 3, column code: the code wum is already in row 2"),
    ("R1,1,WUM", "cards.csv, row 3, column unit: the unit R1 is already in row 2"),
    ("R2,31,KAL", "cards.csv, row 3, column card: 31 is out of range; accepted: a whole number from 0 to 30"),
    ("R2,2,K-L", "cards.csv, row 3, column code: K-L does not fit on a card; accepted: one to 8 letters or digits"),
    ("R2,2,ABCDEFGHI", "cards.csv, row 3, column code: ABCDEFGHI does not fit on a card"),
    ("R2,,KAL", "cards.csv, row 3, column card: the cell is empty"),
])  # fmt: skip
def test_each_fault_in_cards_csv_is_one_sentence(planned, row, told):
    (planned / "cards.csv").write_text(f"unit,card,code\nR1,1,WUM\n{row}\n", encoding="utf-8")
    with pytest.raises(FolderError) as refused:
        read_folder(planned)
    assert len(refused.value.problems) == 1
    assert str(refused.value.problems[0]).startswith(told)


@pytest.mark.parametrize(
    ("code", "what"), [("r2", "a unit"), ("C", "an arm"), ("Plain", "an arm"), ("dimmed", "an arm"), ("Shelf2", "a tank")]
)
def test_a_code_that_tells_the_tank_or_the_arm_is_refused(planned, code, what):
    text = (planned / "trial.toml").read_text(encoding="utf-8")
    (planned / "trial.toml").write_text(text.replace('key = "R3"', 'key = "R3"\ntank = "shelf 2"'), encoding="utf-8")
    (planned / "cards.csv").write_text(f"unit,card,code\nR1,1,{code}\n", encoding="utf-8")
    with pytest.raises(FolderError) as refused:
        read_folder(planned)
    assert [str(problem) for problem in refused.value.problems] == [
        f"cards.csv, row 2, column code: {code} is the name of {what}, and whoever reads the card in a photo would know which it is; "
        "accepted: a code that says nothing (take the row out, and fairtank cards draws one by lot)."]


def test_codes_drawn_by_lot_are_none_of_the_words_that_tell(planned):
    plan = read_folder(planned).plan
    code = cards_of_plan(plan)[0].code
    avoiding = replace(plan, units=(*plan.units[:-1], replace(plan.units[-1], tank=f"{code[0].lower()}-{code[1:]}")))
    assert code not in {one.code for one in cards_of_plan(avoiding)}


def test_an_empty_cards_csv_is_told_what_to_do(planned):
    (planned / "cards.csv").write_bytes(b"")
    with pytest.raises(FolderError, match=r"\(or delete it, and fairtank cards draws it anew\)"):
        read_folder(planned)


def test_more_units_than_cards_are_refused_in_a_sentence():
    with pytest.raises(InputError, match=r"the units that need a card is 32; accepted: at most 31\. There are 31 different cards"):
        cards_by_lot([f"T{number}" for number in range(32)], 1)


def test_a_place_that_cannot_be_written_is_told_and_an_unknown_paper_too(planned):
    (planned / "file").write_text("x", encoding="utf-8")
    with pytest.raises(InputError):
        trial_cards(root=planned, out=planned / "file")
    with pytest.raises(InputError, match="paper is a5"):
        trial_cards(root=planned, out=planned / "out", paper="a5")
    assert not (planned / "cards.csv").exists()
    (planned / "cards.csv").mkdir()
    with pytest.raises((JobError, FolderError)):
        trial_cards(root=planned, out=planned / "out")


def test_any_two_codes_differ_in_two_letters_and_can_be_said():
    for seed in range(8):
        codes = [one.code for one in cards_by_lot([f"T{number}" for number in range(MOST_CARDS)], seed)]
        assert len(codes) == MOST_CARDS
        assert all(len(code) == 3 and code[1] in "AEIOU" for code in codes)
        assert all(sum(a != b for a, b in zip(one, other, strict=True)) >= 2 for one, other in combinations(codes, 2))


def test_the_lot_knows_nothing_of_arms(planned):
    """The same tanks with their arms swapped get the same cards."""
    plan = read_folder(planned).plan
    swapped = replace(plan, units=tuple(replace(unit, arm="C" if unit.arm == "R" else "R") for unit in plan.units))
    assert cards_of_plan(swapped) == cards_of_plan(plan)


def test_each_card_is_as_likely_beside_each_unit():
    """Over 300 seeds the first of two units gets the higher number in half of them (4 standard errors), and every card comes up."""
    drawn = [cards_by_lot(("A", "B"), seed) for seed in range(300)]
    higher = sum(one.card > other.card for one, other in drawn)
    assert abs(higher - 150) < 4 * (300 * 0.25) ** 0.5
    assert {one.card for one, _ in drawn} == set(range(MOST_CARDS))


def test_another_seed_draws_other_cards_and_no_code_is_a_word_of_the_plan(planned):
    plan = replace(read_folder(planned).plan, seed=None)
    assert cards_of_plan(replace(plan, seed=5)) != cards_of_plan(replace(plan, seed=6))
    assert cards_of_plan(plan) == cards_of_plan(plan)
    first = cards_of_plan(plan)[0].code
    assert first not in {one.code for one in cards_by_lot([unit.key for unit in plan.units], 5, avoid=[first.lower()])}
