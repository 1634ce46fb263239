"""Every verdict says what is wrong and what to do, from the numbers of a photo alone."""

import re

import pytest

from checking import every
from fairtank.vision.quality.evidence import Evidence, card_light_ratio
from fairtank.vision.quality.verdicts import quality_of, verdicts_of

GOOD = {
    "edges_found": 4, "residual_px": 0.3, "moved_cm": 0.4, "card_expected": 3, "card_read": 3, "clipped_fraction": 0.001, "level": 0.5,
    "colour_residual": 1.2, "card_light_ratio": 1.0, "sharpness": 0.97, "light_ratio": 1.02, "surround_ratio": 1.0, "clipped_excess": 0.0,
    "veiled_fraction": 0.002, "hidden_fraction": 0.02, "foreign_fraction": 0.01, "kept_fraction": 0.4, "line_strength": 0.1, "line_at": 0.4,
}  # fmt: skip
NO_CARD = {"card_expected": None, "card_read": None, "card_light_ratio": None, "colour_residual": None}
# What is wrong -> the numbers that tell it, and the quality that follows.
WRONG = {
    "blurred": [({"sharpness": 0.5}, "doubtful"), ({"sharpness": 0.3}, "not usable")],
    "under_exposed": [
        ({**NO_CARD, "light_ratio": 0.5, "surround_ratio": 0.5}, "doubtful"),
        ({**NO_CARD, "light_ratio": 0.1, "surround_ratio": 0.1}, "not usable"),
        ({"light_ratio": 0.2, "surround_ratio": 0.2, "card_light_ratio": 0.2}, "doubtful"),
    ],
    "over_exposed": [
        ({"clipped_fraction": 0.1, "clipped_excess": 0.1}, "doubtful"), ({"clipped_fraction": 0.3, "clipped_excess": 0.3}, "not usable"),
        ({**NO_CARD, "light_ratio": 2.0, "surround_ratio": 2.0}, "doubtful"),
    ],
    "lights_off": [({"light_ratio": 0.06, "surround_ratio": 0.95}, "not usable")],
    "other_light": [({"light_ratio": 0.5, "surround_ratio": 1.0, "card_light_ratio": 1.0}, "doubtful")],
    "glare": [({"veiled_fraction": 0.03}, "doubtful"), ({"veiled_fraction": 0.1}, "not usable")],
    "obstructed": [({"hidden_fraction": 0.3}, "not usable"), ({"foreign_fraction": 0.06}, "doubtful")],
    "water_lowered": [({"line_strength": 0.5, "line_at": 0.33}, "not usable"), ({"line_strength": 0.5, "line_at": 0.1}, "doubtful")],
    "wrong_tank": [
        ({"card_read": 5}, "not usable"), ({**NO_CARD, "kept_fraction": 0.03, "shifted_fraction": 0.05}, "not usable"),
        ({"card_read": None, "kept_fraction": 0.03, "shifted_fraction": 0.05}, "not usable"),
        ({**NO_CARD, "kept_fraction": 0.25, "shifted_fraction": 0.05}, "doubtful"),
    ],
    "laid_out_anew": [({"kept_fraction": 0.03, "shifted_fraction": 0.05}, "doubtful")],
    "camera_moved": [({"moved_cm": 8.0}, "doubtful"), ({"kept_fraction": 0.02, "shifted_fraction": 0.5, "shift_cm": -0.8}, "doubtful")],
    "edges_unsure": [({"edges_found": 2}, "doubtful"), ({"residual_px": 1.5}, "doubtful")],
    "colour_unsure": [({"colour_residual": 6.0}, "doubtful")],
    "not_registered": [({"failure": "The tank was not found again: the photo does not match the reference photo."}, "not usable")],
}  # fmt: skip
CASES = [(key, numbers, quality) for key, cases in WRONG.items() for numbers, quality in cases]


# What rests on a comparison with the reference photo place by place.
LOOKS = [(key, numbers) for key, numbers, _ in CASES if key in ("glare", "obstructed", "water_lowered") or "kept_fraction" in numbers]


def evidence(mode: str = "registered", **numbers) -> Evidence:
    return Evidence(mode, **{**GOOD, **numbers})


@pytest.mark.parametrize("numbers", [{}, NO_CARD, {"sharpness": None, "light_ratio": None, "surround_ratio": None, "kept_fraction": None}])
def test_a_photo_like_its_reference_is_usable_without_remarks(numbers):
    assert verdicts_of(evidence(**numbers), 0.02) == ()
    assert quality_of(()) == "usable"


@every(("key", "numbers", "quality"), CASES, ids=lambda part: part if isinstance(part, str) else "")
def test_what_is_wrong_is_told_alone_and_by_its_name(key, numbers, quality):
    found = verdicts_of(evidence(**numbers), 0.0)
    assert [verdict.key for verdict in found] == [key]
    assert quality_of(found) == quality


@every(("key", "numbers", "quality"), CASES, ids=lambda part: part if isinstance(part, str) else "")
def test_every_verdict_is_in_whole_sentences_without_words_of_the_code(key, numbers, quality):
    for verdict in verdicts_of(evidence(**numbers), 0.0):
        sentence = verdict.sentence
        assert re.fullmatch(r"[A-Z0-9].*[.?]", sentence), sentence
        assert not re.search(r"None|nan|_fraction|[{}<>]", sentence), sentence
        if key != "not_registered":  # there the sentence comes with the failure
            assert len(re.findall(r"[.?](?: |$)", sentence)) >= 2, f"what to do is missing: {sentence}"


@pytest.mark.parametrize(("key", "numbers"), LOOKS, ids=lambda part: part if isinstance(part, str) else "")
def test_where_a_keeper_vouches_for_the_frame_a_look_makes_doubtful_at_most(key, numbers):
    found = verdicts_of(evidence("fixed", **numbers), 0.0)
    assert key in {verdict.key for verdict in found}
    assert quality_of(found) == "doubtful"


def test_where_nothing_of_the_reference_is_seen_in_a_fixed_frame_no_look_is_compared():
    """Photos of one unit that each show another patch of ground."""
    other = {**NO_CARD, "kept_fraction": 0.01, "shifted_fraction": 0.0, "hidden_fraction": 0.2, "foreign_fraction": 0.3,
             "veiled_fraction": 0.3, "line_strength": 0.6, "light_ratio": 5.0, "surround_ratio": 5.0, "sharpness": 0.2}  # fmt: skip
    found = verdicts_of(evidence("fixed", **other), 0.0)
    assert {verdict.key for verdict in found} == {"wrong_tank", "blurred", "over_exposed"}
    assert quality_of(found) == "doubtful"
    assert "mode by_hand" in found[0].sentence


def test_a_lid_before_a_fixed_frame_is_told():
    found = verdicts_of(evidence("fixed", **NO_CARD, kept_fraction=None, hidden_fraction=0.9), 0.0)
    assert [(verdict.key, verdict.severity) for verdict in found] == [("obstructed", 1)]


def test_another_card_contradicts_in_every_mode():
    for mode in ("registered", "fixed", "by_hand"):
        assert quality_of(verdicts_of(evidence(mode, card_read=5))) == "not usable"


def test_the_right_card_tells_a_tank_laid_out_anew_from_another_tank_and_without_a_card_both_are_named():
    (anew,) = verdicts_of(evidence(kept_fraction=0.03))
    (either,) = verdicts_of(evidence(**NO_CARD, kept_fraction=0.03))
    for verdict in (anew, either):
        assert "row to frames.csv with this photo as reference photo" in verdict.sentence
    assert "The card is the right one" in anew.sentence
    assert "another tank, or this one laid out anew" in either.sentence


def test_strokes_that_do_not_cover_the_colours_ask_for_strokes():
    (only,) = verdicts_of(evidence(), 0.4)
    assert (only.key, only.severity) == ("strokes_missing", 1)
    assert "40 % of the frame has colours that the strokes leave open: paint strokes on this photo" in only.sentence


def test_the_gravest_verdict_is_told_first_and_decides():
    found = verdicts_of(evidence(sharpness=0.5, card_read=9), 0.0)
    assert [verdict.key for verdict in found] == ["wrong_tank", "blurred"]
    assert quality_of(found) == "not usable"


def test_a_photo_that_was_not_placed_still_names_the_card_it_shows():
    found = verdicts_of(evidence(failure="The tank was not found again.", card_read=7))
    assert [verdict.key for verdict in found] == ["wrong_tank", "not_registered"]
    assert "number 7, this tank's card is number 3" in found[0].sentence


def test_in_the_dark_neither_glare_nor_another_tank_is_claimed():
    numbers = {**NO_CARD, "light_ratio": 0.05, "surround_ratio": 0.05, "kept_fraction": 0.0, "veiled_fraction": 0.2, "hidden_fraction": 0.2}
    dark = evidence(**numbers)
    assert [verdict.key for verdict in verdicts_of(dark)] == ["under_exposed"]


def test_twice_the_stored_value_on_the_card_is_told_in_linear_light():
    """sRGB 188 is half of full light, 255 all of it (IEC 61966-2-1)."""
    assert card_light_ratio([188.0], [255.0]) == pytest.approx(0.5, abs=0.005)
    assert card_light_ratio([], []) is None
