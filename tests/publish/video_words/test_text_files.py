"""Description, outline and texts for pictures: complete, and never stronger than the finding."""

import csv
import io
from dataclasses import replace

from tests.publish.video_words.examples import trial, two_tanks

from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import sentence
from fairtank.publish.strength.check import text_check
from fairtank.publish.video_words.alt_texts import alt_text_table, alt_texts
from fairtank.publish.video_words.captions import srt_text
from fairtank.publish.video_words.cues import cues_of
from fairtank.publish.video_words.description import description_text
from fairtank.publish.video_words.method_lines import method_lines
from fairtank.publish.video_words.outline import outline_text


def test_the_description_tells_the_finding_the_method_in_five_lines_who_gave_what_the_seal_and_the_kit():
    content = trial()
    text = description_text(content)
    assert plain_text(sentence(content.primary[0])) in text
    assert len(method_lines(content)) == 5
    assert all(line in text.splitlines() for line in method_lines(content))
    assert "Who paid for or gave what: none stated" in text
    assert "Seal of the plan: ABCDE-12345" in text
    assert "(the kit): https://example.org/kit" in text
    assert "0:00 What was asked" in text


def test_what_is_not_there_is_said_not_left_out():
    text = description_text(two_tanks())
    assert "Who paid for or gave what: None." in text
    assert "Seal of the plan: not sealed" in text
    assert "as soon as the kit lies somewhere" in text
    assert "drawn by lot, or that was not recorded" in text


def test_the_outline_follows_the_evidence():
    text = outline_text(trial())
    headings = [line for line in text.splitlines() if line.startswith("## ")]
    assert headings == ["## What we asked", "## What we did", "## What we saw", "## How sure we are", "## What we don't know",
                        "## What this finding carries, and what it does not"]
    assert "Besides, not what the trial was planned for, plant cover: " in text
    assert "Not carried: “that there is a difference”." in text


def test_a_finding_that_tells_of_a_difference_carries_that_claim_and_no_certainty():
    content = trial()
    found = replace(content.primary[0], grade="differs", low=-0.9, high=-0.1)
    told = outline_text(replace(content, report=replace(content.report, findings=(found,))))
    assert "Carried: “that there is a difference”." in told
    assert "Not carried: “that it is certain, proven, or works”." in told


def test_every_chart_has_its_text_and_the_table_is_read_back():
    content = trial()
    texts = alt_texts(content)
    assert {one.what for one in texts} == {"chart"}
    assert {one.picture for one in texts} >= {"tanks-algae-cover", "curves-algae-cover"}
    assert all(len(one.text) > 40 for one in texts)
    rows = list(csv.DictReader(io.StringIO(alt_text_table(texts))))
    assert [row["alt_text"] for row in rows] == [one.text for one in texts]


def test_nothing_that_is_written_here_claims_more_than_its_finding():
    for content in (trial(), trial(has_reveal=True), two_tanks()):
        texts = {"d.txt": description_text(content), "o.md": outline_text(content), "a.csv": alt_text_table(alt_texts(content)),
                 "c.srt": srt_text(cues_of(content))}
        for name, text in texts.items():
            assert text_check(text, content.findings, series=content.report.series, ending=name[1:]) == (), name
