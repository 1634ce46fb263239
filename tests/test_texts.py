"""Each text of the pages is in the catalogue of each language, translated, with its places for values and its plural forms."""

import importlib.util
from functools import cache
from importlib.machinery import SourceFileLoader
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent


@cache
def texts():
    """The script scripts/texts as a module."""
    loader = SourceFileLoader("fairtank_texts_script", str(ROOT / "scripts" / "texts"))
    module = importlib.util.module_from_spec(importlib.util.spec_from_loader(loader.name, loader))
    loader.exec_module(module)
    return module


def test_every_text_is_translated_with_its_places_and_plural_forms():
    told = texts().faults()
    assert not told, f"{len(told)} faults, such as:\n" + "\n".join(told[:20]) + "\nscripts/texts gathers; then fill in the .po files"


def test_each_part_has_the_same_languages_and_they_are_offered():
    from fairtank import settings

    offered = {code for code, _words in settings.LANGUAGES} - {"en"}
    for part in texts().PARTS:
        assert set(texts().languages(part)) == offered


@pytest.mark.parametrize(("source", "translated", "fault"), [
    ("%(n)d tanks", "%(n)s Becken", "placeholders"), ("see {where}", "siehe dort", "placeholders"), ("5 %%", "5 %", "placeholders"),
    ("<strong>a</strong>", "<strong>a", "tags"), ("a ", "a", "blank"), ("a", "", "not translated"),
    (("one", "%(n)s"), ("eins", ""), "not translated"), (("one", "%(n)s"), ("eins", "%(m)s"), "placeholders"),
    (("one", "%(n)s"), ("eins",), "1 plural forms; the language has 2"),
])
def test_a_translation_that_would_break_a_page_is_named(source, translated, fault):
    message = texts().Message(source, translated)
    message.string = translated  # as a file may have it
    assert [told for told in texts().faults_of(message, 2) if fault in told]


def test_what_is_written_says_nothing_of_when_and_where_it_was_written():
    made = texts().Texts("de", fuzzy=False, header_comment="# Texts.")
    made.add("tank", "Becken", locations=[("web/one.py", 7)])
    assert texts().written(made).decode().splitlines() == [
        "# Texts.", 'msgid ""', 'msgstr ""', r'"Language: de\n"', r'"MIME-Version: 1.0\n"', r'"Content-Type: text/plain; charset=utf-8\n"',
        r'"Content-Transfer-Encoding: 8bit\n"', r'"Plural-Forms: nplurals=2; plural=(n != 1);"', "",
        "#: web/one.py", 'msgid "tank"', 'msgstr "Becken"', ""]
