"""Wherever a verdict is told in short, the cautions without which it would say more go along."""

from dataclasses import replace

import pytest
from tests.publish.invented_trials import dark_break
from tests.publish.strength.findings import graded

from fairtank.publish.numbers import shown
from fairtank.publish.report_brief import brief_blocks
from fairtank.publish.sentences import caution_words, sentence
from fairtank.publish.site.link_picture import link_words
from fairtank.publish.video_words.content import WordsContent
from fairtank.publish.video_words.outline import outline_text
from fairtank.publish.words import basis_words, tag_words

TOLD = {"not by lot": {"tags": ("not by lot",)}, "not blinded": {"tags": ("not blinded",)}, "borrowed": {"basis": "earlier tanks only"}}


@pytest.mark.parametrize("which", TOLD)
def test_a_link_the_box_and_the_outline_tell_the_caution_with_the_verdict(which):
    finding = graded("differs", **TOLD[which])[0]
    caution = shown(tag_words(which) if which != "borrowed" else basis_words("earlier tanks only"))
    content = replace(dark_break(), findings=(finding,))
    assert caution in link_words(finding)
    assert caution in dict(brief_blocks(content, [finding])[0].pairs)["How sure"]
    assert caution in shown(outline_text(WordsContent(content))).partition("## What we don't know")[0]


def test_every_caution_stands_in_the_whole_sentence_too():
    finding = graded("matters", tags=("not by lot", "uneven arms"), basis="own and earlier tanks")[0]
    assert caution_words(finding) != ""
    assert all(part in sentence(finding) for part in (tag_words("not by lot"), tag_words("uneven arms"), basis_words(finding.basis)))
    assert caution_words(graded("differs")[0]) == ""
    assert caution_words(graded("spoilt", tags=("not by lot",))[0]) == ""
