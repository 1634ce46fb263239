"""fairtank cards: which card belongs where, what to print, refused in a sentence."""

import json

import pytest
from tests.cli.running import run_here
from tests.records.kits import make_kit


@pytest.fixture
def planned(tmp_path):
    return make_kit(tmp_path / "planned", values=False)


def test_people_are_told_which_card_stands_beside_which_tank(capsys, planned):
    ran = run_here(capsys, "cards", planned, "--stickers")
    assert (ran.code, ran.err) == (0, "")
    lines = ran.out.splitlines()
    assert lines[0] == "6 cards were drawn by lot; cards.csv holds them."
    assert [line.split()[-1] for line in lines[1:7]] == ["R1", "R2", "R3", "C1", "C2", "C3"]
    assert lines[7:9] == [f"Cards:    {planned / 'out' / 'cards.pdf'}", f"Stickers: {planned / 'out' / 'stickers.pdf'}"]
    assert "100 mm long" in lines[9]
    assert "outside the tank" in lines[9]
    assert run_here(capsys, "cards", planned).out.startswith("cards.csv holds all 6 cards already; it stays as it is.")


def test_json_is_one_object(capsys, planned):
    ran = run_here(capsys, "cards", planned, "--json")
    assert (ran.code, ran.err) == (0, "")
    told = json.loads(ran.out)
    assert [one["unit"] for one in told["cards"]] == ["R1", "R2", "R3", "C1", "C2", "C3"]
    assert (told["added"], told["stickers"]) == (6, None)
    assert (planned / "out" / "cards.pdf").is_file()


def test_letter_paper_and_another_place(capsys, planned, tmp_path):
    assert run_here(capsys, "cards", planned, "--paper", "letter", "--out", tmp_path / "print").code == 0
    assert (tmp_path / "print" / "cards.pdf").is_file()
    assert not (planned / "out").exists()


def test_wrong_paper_is_wrong_usage(capsys, planned):
    ran = run_here(capsys, "cards", planned, "--paper", "leter")
    assert ran.code == 2
    assert "Did you mean 'letter'?" in ran.err


def test_a_folder_with_a_fault_in_cards_csv_is_refused_and_nothing_is_written(capsys, planned):
    (planned / "cards.csv").write_text("unit,card,code\nR1,1,WUM\nR2,1,KAL\n", encoding="utf-8")
    ran = run_here(capsys, "cards", planned)
    assert (ran.code, ran.out) == (1, "")
    assert "the card 1 is already in row 2" in ran.err
    assert not (planned / "out").exists()
