"""Captions and chapters: read back by an outside parser, inside the film, slow enough, and nothing that matters lost."""

import io
from dataclasses import replace

import pytest
import webvtt
from tests.publish.video_words.examples import LONG_GAP, event, trial, two_tanks

from checking import every
from fairtank.publish.phrases import plain_text
from fairtank.publish.sentences import amount_words, verdict_words
from fairtank.publish.video_words.captions import srt_text, vtt_text
from fairtank.publish.video_words.chapters import chapter_marks, chapters_text
from fairtank.publish.video_words.cues import LINE_SIGNS, SIGNS_PER_SECOND, chunks_of, cues_of

FILMS = {
    "usual": {}, "gap": {"days": LONG_GAP}, "hidden": {"has_reveal": True}, "short": {"days": (0, 1, 2), "close_s": ()},
    "fast": {"seconds_per_day": 0.1}, "long words": {"question": "Does " + "x" * 120 + " change it? " * 9},
    "crowded": {"events": tuple(event(day, f"thing number {day}") for day in range(1, 30))},
}


@every("film", FILMS)
def test_an_outside_parser_reads_the_same_captions_back_from_both_files(film):
    content = trial(**FILMS[film])
    cues = cues_of(content)
    assert cues
    for text, read in ((srt_text(cues), webvtt.from_buffer(io.StringIO(srt_text(cues)), format="srt")),
                       (vtt_text(cues), webvtt.from_buffer(io.StringIO(vtt_text(cues))))):
        assert [caption.text.replace("\n", " ") for caption in read] == [cue.text for cue in cues], text
        assert [(caption.start_in_seconds, caption.end_in_seconds) for caption in read] == [
            (int(cue.start_s), int(cue.end_s)) for cue in cues]


@every("film", FILMS)
def test_captions_are_slow_enough_short_enough_inside_the_film_and_never_over_each_other(film):
    content = trial(**FILMS[film])
    before = 0.0
    for cue in cues_of(content):
        assert cue.start_s >= before
        assert cue.end_s <= content.timeline.seconds + 1e-6
        assert len(cue.text) / (cue.end_s - cue.start_s) <= SIGNS_PER_SECOND + 1e-6, cue
        assert len(cue.lines) <= 2
        assert max(map(len, cue.lines)) <= LINE_SIGNS
        before = cue.end_s


def test_the_finding_stands_at_the_end_word_for_word_with_its_interval():
    content = trial()
    finding = content.primary[0]
    told = " ".join(cue.text for cue in cues_of(content))
    assert plain_text(f"{verdict_words(finding)} {amount_words(finding)}") in told
    assert cues_of(content)[-1].end_s == pytest.approx(content.timeline.seconds, abs=1.0)


def test_technical_words_in_brackets_are_left_to_the_report():
    content = replace(two_tanks(), timeline=trial().timeline)
    told = " ".join(cue.text for cue in cues_of(content))
    assert "before this could be called surprising." in told
    assert "log-odds" not in told


def test_a_film_that_is_too_short_for_the_verdict_with_its_number_tells_neither():
    assert not any("Cannot tell" in cue.text for cue in cues_of(trial(days=(0, 1), close_s=(), seconds_per_day=0.1)))


def test_gaps_and_the_diary_are_told_and_what_comes_each_week_only_once():
    told = [cue.text for cue in cues_of(trial(LONG_GAP, seconds_per_day=1.5, events=(event(19, "water change"), event(26, "trim", "T2"))))]
    assert "No photos from day 15 to day 21" in told
    assert "Day 26: trim (T2)" in told
    assert sum("water change" in text for text in told) == 1


def test_while_the_arms_are_hidden_no_tank_is_named():
    told = [cue.text for cue in cues_of(trial(has_reveal=True, seconds_per_day=1.5, events=(event(26, "trim", "T2"),)))]
    assert "Day 26: trim" in told
    assert not any("(T2)" in text for text in told)


def test_lines_are_filled_evenly_and_a_number_keeps_its_unit():
    text = "Algae cover of 12\u00a0% under the 8\u00a0h block would be 8.3\u00a0% (5.2 to 12.9\u00a0%) under the dark break."
    chunks = chunks_of(text)
    assert " ".join(line for lines in chunks for line in lines) == plain_text(text)
    assert [len(lines) for lines in chunks] == [2, 2]
    assert min(len(line) for lines in chunks for line in lines) > 12
    assert all(unit in " | ".join(line for lines in chunks for line in lines) for unit in ("12 %", "8 h", "8.3 %", "12.9 %"))


def test_an_arrow_and_signs_of_markup_in_a_name_break_no_file():
    content = trial(seconds_per_day=1.5, events=(event(26, "a --> b <i> & c"),))
    cues = cues_of(content)
    assert any("a --> b" in cue.text for cue in cues)
    read = webvtt.from_buffer(io.StringIO(vtt_text(cues)))
    assert len(list(read)) == len(cues)
    assert any("a → b" in caption.text for caption in read)


def test_chapters_begin_at_0_stand_in_order_and_name_the_start_of_the_change():
    marks = chapter_marks(trial(kind="run_in", run_in_days=10))
    assert marks[0] == (0.0, "What was asked")
    assert [at for at, _ in marks] == sorted(at for at, _ in marks)
    assert [words for _, words in marks] == ["What was asked", "Day 0", "Day 10: the change starts", "Day 37, the last one",
                                             "What was found"]
    assert chapters_text(trial(kind="run_in", run_in_days=10)).startswith("0:00 What was asked\n0:03 Day 0\n")


def test_without_a_film_there_are_neither_captions_nor_chapters():
    assert cues_of(two_tanks()) == ()
    assert chapters_text(two_tanks()) == ""
