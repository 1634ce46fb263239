"""The report of several trials: complete, valid, readable by a screen reader, and the same bytes each time."""

import io
from dataclasses import replace

import html5lib
import pypdf
import pytest
from tests.records.kits import make_kit, make_kits

from fairtank.publish.page import html_text
from fairtank.publish.pdf import pdf_bytes
from fairtank.publish.pool_facts import next_words, varied_words
from fairtank.publish.pool_words import headline, prediction_words
from fairtank.publish.pooled_report import pooled_document
from fairtank.records.services.pool_kits import facts_of
from fairtank.records.services.pooling import trials_pool


@pytest.fixture(scope="module")
def together(tmp_path_factory):
    """Three trials of one question, and one of another."""
    root = tmp_path_factory.mktemp("trials")
    make_kits(root, 3, keeper="Mira Olm (invented)", tank_litres=54.0)
    make_kit(root / "height", title="Height", key="canopy_height", scale="log", margin=None)
    return trials_pool(root=root)


@pytest.fixture(scope="module")
def facts(together):
    return tuple(facts_of(one.name, one.judged, one.finding) for one in together.trials)


@pytest.fixture(scope="module")
def report(together, facts):
    left_out = [(one.folder, one.reason) for one in together.left_out]
    return pooled_document(together.story, facts, question="Does dimmed light leave less algae?", left_out=left_out,
                           digest="sha256:" + "ab" * 32)


def test_the_sentence_stands_first_and_every_part_is_there(report, together):
    assert report.sentences == (headline(together.story),)
    assert [section.key for section in report.sections] == ["picture", "further", "differ", "trials", "next", "disclosure", "left-out",
                                                            "methods", "sources"]
    assert prediction_words(together.story) in [block.text for block in report.sections[1].blocks]
    reason = "It asks another question: its measure is Canopy height, that of the others Algae cover."
    assert ("height", reason) in report.sections[6].blocks[0].pairs
    assert {text for _, text in report.sections[5].blocks[0].pairs} == {"none stated"}


def test_the_page_is_valid_and_its_picture_is_told_in_words(report, together):
    text = html_text(report)
    parser = html5lib.HTMLParser(strict=True)
    parser.parse(text)
    assert text.count("<svg") == 2
    assert "A further trial would probably lie between" in text
    assert "http://" not in text.replace("http://www.w3.org", "")
    assert "https://" not in text


def test_the_pdf_is_tagged_names_its_language_and_title_and_is_the_same_each_time(report):
    data = pdf_bytes(report)
    read = pypdf.PdfReader(io.BytesIO(data))
    root = read.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"].startswith("en")
    assert read.metadata.title == report.title
    assert "pdfuaid" in root["/Metadata"].get_object().get_data().decode()
    assert "What the next trial should keep" in "".join(page.extract_text() for page in read.pages).replace("\n", " ")
    assert pdf_bytes(report) == data


def test_how_the_trials_differ_and_what_was_the_same_in_all(facts):
    told = varied_words(facts)
    assert "All were kept by Mira Olm (invented): whether somebody else would find the same, these trials do not tell." in told
    assert any(text.startswith("Tanks of about one size, 54") for text in told)
    assert "All ran for 42 days." in told
    other = (replace(facts[0], keeper="Tavin Roskel (invented)", litres=120.0, days=50, drawn=False, change="less light",
                     repeats="Trial 2"),
             replace(facts[1], change="dimmed light"), *facts[2:])
    told = varied_words(other)
    assert "Keepers: Tavin Roskel (invented) and Mira Olm (invented)." in told
    assert any(text.startswith("Tanks of 54 to 120") for text in told)
    assert "They ran for 42 to 50 days." in told
    assert "The change was described in two ways: “less light” and “dimmed light”." in told
    assert "Trial 1 repeats “Trial 2”." in told


def test_of_one_trial_nothing_differs(facts):
    assert varied_words(facts[:1]) == ()


def test_the_next_trial_is_told_what_to_keep_and_what_these_lack(together, facts):
    told = " ".join(next_words(together.story, facts))
    assert "Keep what is compared, the measure (Algae cover)" in told
    assert "Another keeper, in another room" in told
    assert "Seal the plan before the start: 3 of 3 trials have no seal" in told
    assert "Three tanks per arm" not in told
    fewer = tuple(replace(one, tanks=(2, 2), seal_code="ABCDE", keeper=one.name) for one in facts)
    told = " ".join(next_words(together.story, fewer))
    assert "Three tanks per arm or more" in told
    assert "Another keeper" not in told
    assert "Seal the plan" not in told


def test_that_the_lot_did_not_choose_is_told_with_the_sentence(together, facts):
    some = (replace(facts[0], drawn=False), *facts[1:])
    told = pooled_document(together.story, some).sentences
    assert told == (headline(together.story), "In 1 of 3 trials the arms were not drawn by lot, or it was not recorded, so whatever went "
                                              "with that choice may be the cause.")
    assert pooled_document(together.story, [replace(one, drawn=False) for one in facts]).sentences[1].startswith("The arms were not drawn")
