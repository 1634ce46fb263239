"""How arms look, and that nobody needs colour to tell them apart."""

from datetime import date

import pytest

from fairtank.publish import arms
from fairtank.trial import Arm, Plan


def contrast(first: str, second: str) -> float:
    """Contrast ratio of two sRGB colours: wcag22, definitions of relative luminance and contrast ratio."""
    lights = []
    for colour in (first, second):
        channels = [int(colour[place: place + 2], 16) / 255 for place in (1, 3, 5)]
        red, green, blue = (value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4 for value in channels)
        lights.append(0.2126 * red + 0.7152 * green + 0.0722 * blue)
    return (max(lights) + 0.05) / (min(lights) + 0.05)


def five_arms() -> Plan:
    roles = ("reference", "changed", "changed", "changed", "changed")
    return Plan("t", date(2026, 3, 1), 10, "side_by_side", tuple(Arm(f"K{index}", role, f"dose {index}") for index,
                                                                 role in enumerate(roles)), (), ())


@pytest.mark.as_it_was("the palette of okabe2008 in 8-bit RGB, recalled and not read, 2026-11-25")
@pytest.mark.parametrize(("colour", "printed"), [(arms.BLUE, "0 114 178"), (arms.VERMILLION, "213 94 0"), (arms.GREEN, "0 158 115"),
                                                 (arms.PURPLE, "204 121 167"),
                                                 (arms.BLACK, "0 0 0")])
def test_colours_are_those_of_the_palette(colour, printed):
    assert " ".join(str(int(colour[place: place + 2], 16)) for place in (1, 3, 5)) == printed


@pytest.mark.as_it_was("wcag22, 1.4.11, recalled and not read: 3:1 for the parts of a graphic; black on white is 21:1, 2026-11-25")
def test_every_arm_can_be_seen_on_white():
    assert round(contrast("#000000", "#ffffff"), 6) == 21
    assert all(contrast(colour, "#ffffff") >= 3 for colour in arms.PALETTE)


def test_every_arm_has_its_own_letter_line_mark_and_colour():
    looks = list(arms.arm_looks(five_arms()).values())
    for one in ("letter", "dash", "mark", "colour", "line_words", "mark_words"):
        assert len({getattr(look, one) for look in looks}) == 5
    assert [look.letter for look in looks] == ["A", "B", "C", "D", "E"]


def letters(*keys: str) -> dict[str, str]:
    """Each arm's letter by its key; the last key is the reference's."""
    named = tuple(Arm(key, "reference" if key == keys[-1] else "changed") for key in keys)
    return {look.key: look.letter for look in arms.arm_looks(Plan("t", date(2026, 3, 1), 10, "side_by_side", named, (), ())).values()}


def test_keys_of_one_letter_are_the_arms_letters_and_the_reference_comes_first():
    assert list(letters("A", "B").items()) == [("B", "B"), ("A", "A")]


@pytest.mark.parametrize("keys", [("c", "R"), ("C1", "R"), ("C", "control"), ("Ä", "R"), ("1", "2")])
def test_other_keys_leave_a_to_the_reference_wherever_it_stands_in_the_plan(keys):
    assert letters(*keys) == {keys[0]: "B", keys[1]: "A"}


def test_an_arm_without_a_name_is_called_by_its_letter_once():
    plan = Plan("t", date(2026, 3, 1), 10, "side_by_side", (Arm("R", "reference"), Arm("C", "changed", "dimmed")), (), ())
    assert [look.legend for look in arms.arm_looks(plan).values()] == ["arm R", "C  dimmed"]
    assert [look.words for look in arms.arm_looks(plan).values()] == ["R", "C, dimmed"]
