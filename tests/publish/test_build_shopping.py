"""The shopping list on paper: packs, money, what is there, and what has no price."""

import io
from dataclasses import replace

import pytest
from tests.planning import setups

from fairtank.build import Money
from fairtank.planning.buildsheet import build_sheet
from fairtank.planning.costs import shopping_list
from fairtank.publish.blocks import Bullets, Table
from fairtank.publish.pdf import pdf_bytes
from fairtank.publish.shopping_pages import shopping_document, shopping_sentence


def list_of(setup):
    return shopping_list(setup, build_sheet(setup))


def document_of(setup):
    return shopping_document(list_of(setup), title="Two ways", units=len(setup.units), weeks=setup.weeks)


def rows_of(document, key):
    section = next(section for section in document.sections if section.key == key)
    return next(block for block in section.blocks if isinstance(block, Table)).rows


def test_the_sentence_adds_electricity_and_says_at_least_where_a_price_is_missing():
    whole, partly = list_of(setups.midday()), list_of(setups.three_bays())
    assert not whole.is_at_least
    assert shopping_sentence(whole) == (
        f"What must be bought costs {whole.purchases:.2f}\u00a0crowns; with electricity the trial costs {whole.total:.2f}\u00a0crowns, "
        f"{whole.per_unit:.2f}\u00a0crowns for each tank.")
    assert partly.is_at_least
    assert shopping_sentence(partly).startswith(f"What must be bought costs at least {partly.purchases:.2f}\u00a0crowns; with electricity "
                                                f"the "
                                                "trial costs at least ")


def test_nothing_priced_is_said_so():
    setup = setups.hand_worked()
    assert shopping_sentence(list_of(setup)) == "What this costs is not known: nothing that must be bought has a price."


def test_a_row_says_what_is_needed_what_is_there_and_how_many_packs():
    rows = {row[0]: row for row in rows_of(document_of(setups.midday()), "buy")}
    line = next(line for line in list_of(setups.midday()).lines if line.title == "broken slate")
    assert line.owned == 4.0
    assert rows["broken slate"] == ("broken slate", "12.6\u00a0kg", "4\u00a0kg", "8.6\u00a0kg", "2", "5\u00a0kg at 9.00", "18.00")
    assert rows["gypsum"][1].endswith("\u00a0g")  # a little of what is sold by the kilogram is told in grams


def test_what_is_there_already_stands_apart():
    document = document_of(setups.midday())
    there = [row[0] for row in rows_of(document, "there")]
    assert "potassium nitrate" in there
    assert not set(there) & {row[0] for row in rows_of(document, "buy")}


def test_what_has_no_price_is_listed_with_the_reason():
    document = document_of(setups.soil_under_cap())
    missing = next(section for section in document.sections if section.key == "missing")
    assert isinstance(missing.blocks[0], Bullets)
    assert "lava rock: pack size not given; price not given." in missing.blocks[0].items
    assert "electricity: price of a kWh not given." in missing.blocks[0].items


def test_running_costs_need_the_price_of_electricity():
    with_price = rows_of(document_of(setups.midday()), "running")
    without = rows_of(document_of(replace(setups.midday(), money=Money("crowns"))), "running")
    assert [row[0] for row in with_price] == ["electricity", "its cost", "all costs, purchases shared out over the weeks"]
    assert [row[0] for row in without] == ["electricity", "all costs, purchases shared out over the weeks"]


@pytest.mark.parametrize("make", [setups.midday, setups.soil_under_cap, setups.three_bays], ids=lambda make: make.__name__)
def test_the_list_is_one_page_with_every_line(make):
    from pypdf import PdfReader

    document = document_of(make())
    pages = [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf_bytes(document))).pages]
    assert len(pages) == 1
    for line in list_of(make()).lines:
        assert line.title in pages[0]
