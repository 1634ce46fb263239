"""What each shot shows, read from the list of what is painted."""

from dataclasses import replace

import pytest
from tests.publish.film.film_examples import CODES, TINY, content, film, texts_of
from tests.publish.judged_trials import ARMS

from fairtank.errors import InputError, NotEnoughDataError
from fairtank.publish.arms import arm_looks
from fairtank.publish.film.items import Photo, Stroke, rgb_of
from fairtank.publish.film.making import film_of
from fairtank.publish.film.scenes import items_of
from fairtank.publish.numbers import shown
from fairtank.publish.sentences import spoken_sentence

HIDDEN = replace(TINY, arms="at the end")


def shots(made, kind):
    return [shot for shot in made.timeline.shots if shot.kind == kind]


def arm_signs(made, shot):
    """Names, letters and colours of the arms that a shot shows."""
    items = items_of(made, shot)
    looks = arm_looks(made.plan).values()
    words = {look.letter for look in looks} | {look.label for look in looks}
    inks = {rgb_of(look.colour) for look in looks}
    return [text for text in texts_of(items) if text in words], [item for item in items if getattr(item, "colour", None) in inks]


def test_a_gap_is_marked_in_words_and_its_photos_are_veiled_with_their_day():
    made = film()
    gap, = shots(made, "gap")
    items = items_of(made, gap)
    assert "Days 2 to 3: no photo" in texts_of(items)
    assert texts_of(items).count("photo of day 1") == 1, "R1 had a photo on day 1"
    assert texts_of(items).count("photo of day 0") == 1, "C1 had its last one on day 0"
    assert all(item.is_veiled for item in items if isinstance(item, Photo))


def test_a_tank_without_a_photo_that_day_keeps_its_last_one_veiled_and_the_others_do_not():
    made = film()
    day, = shots(made, "day")
    photos = {item.unit: item for item in items_of(made, day) if isinstance(item, Photo)}
    assert (photos["R1"].day, photos["R1"].is_veiled) == (1, False)
    assert (photos["C1"].day, photos["C1"].is_veiled) == (0, True)


def test_a_tank_before_its_first_photo_says_so():
    made = film(days={"R1": (0, 4), "C1": (2, 4)})
    first = shots(made, "hold")[0]
    assert "no photo yet" in texts_of(items_of(made, first))
    assert [item.unit for item in items_of(made, first) if isinstance(item, Photo)] == ["R1"]


def test_arms_are_told_by_letter_name_line_style_and_colour():
    made = film()
    words, coloured = arm_signs(made, shots(made, "hold")[0])
    assert sorted(words) == ["8 h block", "C", "R", "dark break"]
    dashes = {item.dash for item in coloured if isinstance(item, Stroke)}
    assert len(dashes) > 1, "no reader depends on colour"


def test_nothing_tells_the_arms_before_the_reveal_and_the_reveal_tells_them():
    made = film(HIDDEN)
    for shot in made.timeline.shots:
        if shot.kind in ("hold", "day", "gap"):
            assert arm_signs(made, shot) == ([], []), shot
            assert {f"Tank {code}" for code in CODES.values()} <= set(texts_of(items_of(made, shot)))
            assert not {"R1", "C1"} & set(texts_of(items_of(made, shot))), "a key may tell the arm"
    reveal, = shots(made, "reveal")
    assert sorted(arm_signs(made, reveal)[0]) == ["8 h block", "C", "R", "dark break"]


def test_arms_that_are_never_named_have_no_reveal():
    made = film(replace(TINY, arms="never"))
    assert not shots(made, "reveal")
    assert all(arm_signs(made, shot) == ([], []) for shot in made.timeline.shots if shot.kind in ("hold", "day", "gap"))


def test_hidden_tanks_stand_by_their_codes_and_a_note_calls_them_by_these():
    made = film(HIDDEN)
    assert [one.unit for one in made.photos] == ["C1", "R1"], "moth stands before wren"
    last = shots(made, "hold")[-1]
    assert "Day 4: trim (moth)" in texts_of(items_of(made, last))


def test_a_swap_names_the_arm_that_a_tank_has_on_that_day():
    made = film(kind="swap", swap_day=2)
    before, after = shots(made, "hold")
    label = {"R1": [], "C1": []}
    for shot in (before, after):
        cells = {cell.unit: cell for cell in made.layout.cells}
        for item in items_of(made, shot):
            for unit, cell in cells.items():
                if getattr(item, "text", "") in ("8 h block", "dark break") and cell.label.x <= item.x < cell.label.right:
                    label[unit].append(item.text)
    assert label == {"R1": ["8 h block", "dark break"], "C1": ["dark break", "8 h block"]}


def test_the_closing_card_says_the_finding_word_for_word_and_nothing_more():
    made = film()
    told = [text for shot in shots(made, "close") for text in texts_of(items_of(made, shot))]
    pages = len(shots(made, "close"))
    others = {"fairtank film, seal ABCDE-12345", *(f"{page} of {pages}" for page in range(1, pages + 1))}
    assert " ".join(text for text in told if text not in others) == shown(spoken_sentence(made.content.findings[0]))


@pytest.mark.parametrize("shape", ["wide", "tall", "square"])
def test_every_word_of_a_long_finding_stands_on_a_page_of_the_closing_card(shape):
    own = content()
    longer = replace(own.findings[0], changed_label="a very long name of a treatment " * 12)
    made = film_of(replace(own, findings=(longer,)), replace(TINY, shape=shape))
    told = [line for page in made.closing for line in page.lines]
    assert " ".join(told) == shown(spoken_sentence(longer))
    height = made.layout.size_px[1]
    assert all(0 < item.y < height - item.size_px for shot in shots(made, "close") for item in items_of(made, shot))


def test_the_opening_card_asks_the_question_and_says_what_differs_and_how_it_was_fixed():
    made = film()
    told = " ".join(texts_of(items_of(made, shots(made, "open")[0])))
    for part in ("Does a dark break change how much algae grows?", "What differs:", "8 h block", "dark break", "code ABCDE-12345"):
        assert part in told


def test_the_curve_stops_at_the_day():
    made = film()
    widest = {}
    for shot in (*shots(made, "hold"), *shots(made, "day")):
        inks = {rgb_of(look.colour) for look in made.looks.values()}
        top = made.layout.curve.y
        lines = [item for item in items_of(made, shot) if isinstance(item, Stroke) and item.colour in inks]
        strokes = [item for item in lines if item.points[0][1] > top]
        widest[shot.day] = max((x for item in strokes for x, _ in item.points), default=0)
    assert widest[0] == 0, "one day is a dot, no line"
    assert widest[1] < widest[4] <= made.layout.curve.right


def test_a_trial_without_values_has_no_curve_and_larger_photos():
    with_curve, without = film(), film_of(replace(content(), series=()), TINY)
    assert without.curve is without.layout.curve is None
    assert without.layout.cells[0].photo.width >= with_curve.layout.cells[0].photo.width


def test_the_small_line_may_be_left_out():
    said = "fairtank film, seal ABCDE-12345"
    for line, there in ((True, True), (False, False)):
        made = film(replace(TINY, seal_line=line))
        assert (said in texts_of(items_of(made, shots(made, "day")[0]))) is there


def test_a_note_is_told_from_its_day_on_and_not_when_it_is_not_wished_for():
    made = film()
    assert "Day 1: water change" in texts_of(items_of(made, shots(made, "day")[0]))
    bare = film(replace(TINY, captions=False))
    assert not any("water change" in text for shot in bare.timeline.shots for text in texts_of(items_of(bare, shot)))


def test_the_date_stands_there_only_where_it_is_wished_for():
    day = shots(film(), "day")[0]
    assert not any("2026-03-02" in text for text in texts_of(items_of(film(), day)))
    dated = film(replace(TINY, date=True))
    assert any("2026-03-02" in text for text in texts_of(items_of(dated, day)))


@pytest.mark.parametrize(("wishes", "said"), [
    ({"shape": "round"}, "The shape of the film is round; accepted: wide, tall or square"),
    ({"arms": "never", "order": "arm"}, "would give away what is hidden"),
    ({"units": ("T9",)}, "The tanks in the film is T9; accepted: tanks of this trial: R1 and C1"),
    ({"seconds_per_day": 9.0}, "Seconds for each day is 9.0; accepted: 0.1 to 5"),
    ({"frames_per_second": 5}, "Frames in each second is 5; accepted: 24 to 60"),
])  # fmt: skip
def test_a_wish_that_cannot_be_met_is_refused_in_a_sentence(wishes, said):
    with pytest.raises(InputError, match=said):
        film(replace(TINY, **wishes))


def test_more_than_six_tanks_are_to_be_chosen_from():
    own = content(days={f"{arm}{place}": (0, 4) for arm in "RC" for place in (1, 2, 3)})
    plan = replace(own.plan, units=tuple(replace(unit, key=f"{unit.key}{twin}") for unit in own.plan.units for twin in "ab"))
    photos = tuple(replace(one, unit=unit.key) for unit, one in zip(plan.units, own.photos * 2, strict=True))
    with pytest.raises(InputError, match="12 tanks; accepted: 1 to 6 at once"):
        film_of(replace(own, plan=plan, photos=photos), TINY)


def test_without_a_photo_there_is_no_film():
    with pytest.raises(NotEnoughDataError, match="None of these tanks has a usable photo"):
        film_of(replace(content(), photos=()), TINY)


def test_a_photo_outside_the_trial_is_not_shown():
    assert film(days={"R1": (-3, 0, 9), "C1": (0,)}).timeline.days == (0,)


def test_the_examples_have_the_arms_that_are_looked_for():
    assert [arm.name for arm in ARMS] == ["8 h block", "dark break"]
