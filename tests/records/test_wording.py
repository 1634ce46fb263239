"""The words as files: which are written, whose times they follow, and which texts are taken for a check."""

from datetime import date, timedelta

import pytest
from tests.records.kits import make_kit

from checking import every
from fairtank.errors import DesignError, InputError
from fairtank.publish.film.timeline import timeline_of, timeline_text
from fairtank.publish.sentences import sentence
from fairtank.publish.settling_words import settling_words
from fairtank.publish.strength.check import text_check
from fairtank.publish.words import cautions_text
from fairtank.records.services.examples import SHOWN, example_make
from fairtank.records.services.trials import trial_judge
from fairtank.records.services.wording import MOST_SIGNS, file_text, kept_film, text_flags, words_make, words_of

# Examples of which all words are put together; of the others the sentences are read.
WHOLE = ("one_each", "run_in", "three_arms", "threshold")


@pytest.fixture
def judged(tmp_path):
    """A finished trial without photos."""
    return trial_judge(root=make_kit(tmp_path / "trial"))


def test_without_photos_there_is_a_description_an_outline_and_texts_for_the_charts(judged, tmp_path):
    files = words_make(judged=judged, out=tmp_path / "out", kit_link=" https://example.org/kit ")
    assert sorted(place.name for place in (tmp_path / "out" / "words").iterdir()) == ["alt-texts.csv", "description.txt", "outline.md"]
    assert (files.chapters, files.srt, files.vtt, files.timeline) == (None, None, None, None)
    assert "(the kit): https://example.org/kit\n" in files.description.read_text(encoding="utf-8")


def test_the_times_are_those_of_the_film_that_was_made_last(judged, tmp_path):
    place = tmp_path / "out" / "film"
    place.mkdir(parents=True)
    timeline = timeline_of(range(43), frames_per_second=25, seconds_per_day=0.4, open_s=(3.0,), close_s=(8.0,))
    (place / "film-wide-1080p.json").write_text(timeline_text(timeline), encoding="utf-8")
    for name in ("film-wide-1080p.mp4", "tank-1-R1.jpg", "tank-2-C1.jpg", "tank-10-C2.jpg", "tank-3-gone.jpg"):
        (place / name).write_bytes(b"x")
    film = kept_film(judged, tmp_path / "out")
    assert (film.timeline, [unit for unit, _ in film.pairs]) == (timeline, ["R1", "C1", "C2"])
    files = words_make(judged=judged, out=tmp_path / "out")
    assert (files.film, files.timeline) == ("film-wide-1080p.mp4", timeline)
    assert files.srt.read_text(encoding="utf-8").startswith("1\n00:00:")
    assert "before-after.jpg" in files.alt_texts.read_text(encoding="utf-8")


def test_a_trial_that_is_not_over_gets_no_words_and_no_check(tmp_path):
    running = trial_judge(root=make_kit(tmp_path / "trial", start=date.today() - timedelta(days=20), last_day=18))
    with pytest.raises(DesignError, match="when the trial was read"):
        words_make(judged=running, out=tmp_path / "out")
    with pytest.raises(DesignError, match="when the trial was read"):
        text_flags(findings=running.findings, text="It works.")
    assert not (tmp_path / "out").exists()


def test_a_text_that_is_too_long_or_no_text_is_refused(judged, tmp_path):
    with pytest.raises(InputError, match=f"at most {MOST_SIGNS}"):
        text_flags(findings=judged.findings, text="x" * (MOST_SIGNS + 1))
    for name, content, said in (("a.docx", b"x", "a text file in UTF-8"), ("b.txt", b"\xff\xfe\x00", "Save it as UTF-8"),
                                ("c.md", None, "not there")):
        place = tmp_path / name
        if content is not None:
            place.write_bytes(content)
        with pytest.raises(InputError, match=said):
            file_text(place)
    (tmp_path / "d.srt").write_bytes("\ufeff1\n".encode())
    assert file_text(tmp_path / "d.srt") == "1\n"


@every("design", SHOWN)
def test_of_every_example_no_sentence_of_ours_claims_more_than_its_finding(design, tmp_path):
    example_make(design=design, root=tmp_path / design)
    judged = trial_judge(root=tmp_path / design)
    told = {f"{one.measure}.txt": " ".join((sentence(one), settling_words(one), *cautions_text(one))) for one in judged.findings}
    if design in WHOLE:
        told |= words_of(judged=judged, out=tmp_path / "out").texts
    for name, text in told.items():
        assert text
        assert text_check(text, judged.findings, series=judged.series, ending=name[name.rindex("."):]) == (), name
