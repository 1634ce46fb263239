"""Agreement of people against printed values, other programs and the textbook's coincidence matrix; the rule; scores as series."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fairtank.errors import InputError, NotEnoughDataError, OutOfRangeError
from fairtank.inference.eyes.agreement import LEVELS, WEIGHTS, cohen_kappa, krippendorff_alpha
from fairtank.inference.eyes.raters import Rating, rater_agreement, self_agreement, unit_series, use_of
from inference.worked.data import THREE_CLASSES, scores_of

NO_VALUE_NEEDS = "the rule is drawn from the literature from memory; its two cut-offs are kept as they were, 2026-11-25"


def textbook_alpha(units, level):
    """Alpha from the coincidence matrix, as it is taught: observed over expected, cell by cell."""
    units = [[score for score in unit if score is not None] for unit in units]
    units = [unit for unit in units if len(unit) > 1]
    values = sorted({score for unit in units for score in unit})
    met = {(one, other): 0.0 for one in values for other in values}
    for unit in units:
        for index, one in enumerate(unit):
            for place, other in enumerate(unit):
                if index != place:
                    met[one, other] += 1 / (len(unit) - 1)
    n_of = {one: sum(met[one, other] for other in values) for one in values}
    n = sum(n_of.values())

    def distance(one, other):
        if level == "nominal":
            return float(one != other)
        if level == "interval":
            return (one - other) ** 2
        if level == "ratio":
            return ((one - other) / (one + other)) ** 2 if one + other else 0.0
        between = sum(n_of[value] for value in values if min(one, other) <= value <= max(one, other))
        return (between - (n_of[one] + n_of[other]) / 2) ** 2

    seen = sum(met[pair] * distance(*pair) for pair in met) / n
    expected = sum(n_of[one] * n_of[other] * distance(one, other) for one, other in met) / (n * (n - 1))
    return 1 - seen / expected


def test_a_unit_that_one_person_scored_is_left_out():
    found = krippendorff_alpha(scores_of("C"), "nominal")
    assert (found.photos, found.scores) == (11, 40)
    assert found == krippendorff_alpha(scores_of("C")[:11], "nominal")


UNITS = st.lists(st.lists(st.one_of(st.none(), st.integers(0, 4)), min_size=3, max_size=4), min_size=3, max_size=12)


def is_varied(units):
    kept = [[score for score in unit if score is not None] for unit in units]
    return len({score for unit in kept if len(unit) > 1 for score in unit}) > 1


@settings(max_examples=60)
@given(UNITS.filter(is_varied), st.sampled_from(LEVELS))
def test_alpha_equals_the_coincidence_matrix_cell_by_cell(units, level):
    assert krippendorff_alpha(units, level).value == pytest.approx(textbook_alpha(units, level), abs=1e-9)


@settings(max_examples=30)
@given(UNITS.filter(is_varied), st.sampled_from(LEVELS), st.randoms(use_true_random=False))
def test_alpha_and_its_interval_do_not_depend_on_the_order_of_photos_or_people(units, level, random):
    mixed = [random.sample(unit, len(unit)) for unit in random.sample(units, len(units))]
    assert krippendorff_alpha(mixed, level) == krippendorff_alpha(units, level)


@settings(max_examples=15)
@given(UNITS.filter(is_varied))
def test_another_ruler_changes_no_alpha_that_may_not_see_it(units):
    def alpha(change, level):
        return krippendorff_alpha([[None if score is None else change(score) for score in unit] for unit in units], level).value

    assert alpha(lambda score: 3 * score - 7, "interval") == pytest.approx(alpha(float, "interval"), abs=1e-9)
    assert alpha(lambda score: 10 * score, "ratio") == pytest.approx(alpha(float, "ratio"), abs=1e-9)
    assert alpha(lambda score: score**3, "ordinal") == pytest.approx(alpha(float, "ordinal"), abs=1e-9)
    assert alpha(lambda score: -score, "nominal") == pytest.approx(alpha(float, "nominal"), abs=1e-9)


@pytest.mark.parametrize("level", LEVELS)
def test_alpha_is_one_for_perfect_agreement_and_about_zero_for_dice(level):
    assert krippendorff_alpha([[score] * 3 for score in (1, 2, 3, 4, 2, 2)], level).value == pytest.approx(1, abs=1e-12)
    dice = np.random.default_rng(20261125).integers(1, 7, size=(2000, 3)).tolist()
    assert abs(krippendorff_alpha(dice, level).value) < 0.05


def test_opposite_scores_agree_less_than_chance():
    assert krippendorff_alpha([[1, 5], [5, 1], [1, 5], [5, 1]], "interval").value < 0


def test_the_interval_is_the_same_every_time_and_holds_the_value():
    found = krippendorff_alpha(scores_of("C"))
    assert found == krippendorff_alpha(scores_of("C"))
    assert found.low < found.value < found.high <= 1


def test_intervals_of_many_simulated_trials_hold_the_long_run_alpha():
    generator = np.random.default_rng(20261125)

    def scored(photos):
        truth = generator.normal(size=(photos, 1))
        return np.clip(np.round(3 + truth + generator.normal(scale=0.6, size=(photos, 3))), 1, 5).tolist()

    long_run = krippendorff_alpha(scored(4000), "interval", confidence=0.5).value
    found = [krippendorff_alpha(scored(60), "interval") for _ in range(50)]
    held = sum(one.low <= long_run <= one.high for one in found)
    # Percentiles of a resampled ratio hold it a little less often than they say; 60 photos, 50 trials: 0.95 minus 3 standard errors.
    assert held / 50 >= 0.95 - 3 * (0.95 * 0.05 / 50) ** 0.5


def test_with_a_few_photos_there_is_a_value_and_no_interval():
    found = krippendorff_alpha([[1, 1], [2, 2], [3, 4], [4, 4]])
    assert found.value > 0.8
    assert (found.low, found.high) == (None, None)


def test_scores_that_are_all_the_same_have_no_alpha():
    found = krippendorff_alpha([[2, 2], [2, 2], [2, None]])
    assert (found.value, found.low, found.high, found.photos) == (None, None, None, 2)


def test_scores_that_differ_on_one_photo_only_have_a_value_and_no_interval():
    found = krippendorff_alpha([[2, 2]] * 9 + [[2, 3]])
    assert found.value == pytest.approx(0, abs=0.06)
    assert found.low is None


@pytest.mark.parametrize(("units", "level", "error", "message"), [
    ([[1, None], [None, 2]], "ordinal", NotEnoughDataError, "No photo was scored by two people"),
    ([], "ordinal", NotEnoughDataError, "No photo was scored by two people"),
    ([[1, 2]], "rank", InputError, "level is rank; accepted: nominal, ordinal, interval, ratio"),
    ([[1, float("nan")]], "ordinal", InputError, "score is nan; accepted: a finite number. Leave the place empty"),
    ([[1, float("inf")]], "ordinal", InputError, "score is inf"),
    ([[-1, 2]], "ratio", OutOfRangeError, "score is -1.0; accepted: 0 or more"),
])
def test_scores_that_cannot_be_compared_are_refused(units, level, error, message):
    with pytest.raises(error, match=message):
        krippendorff_alpha(units, level)


def test_a_confidence_of_one_is_refused():
    with pytest.raises(OutOfRangeError, match="confidence is 1; accepted: above 0 and below 1"):
        krippendorff_alpha([[1, 2], [2, 2]], confidence=1)
    with pytest.raises(OutOfRangeError, match="confidence is 0"):
        cohen_kappa(THREE_CLASSES, confidence=0)


def test_every_case_of_a_table_counts():
    assert cohen_kappa(THREE_CLASSES).n == 100


@pytest.mark.parametrize("weights", WEIGHTS)
def test_kappa_equals_statsmodels_on_other_tables(weights):
    from statsmodels.stats.inter_rater import cohens_kappa

    for seed in range(20):
        counts = np.random.default_rng(seed).integers(0, 12, size=(4, 4))
        other = cohens_kappa(counts, wt=None if weights == "none" else weights)
        found = cohen_kappa(counts.tolist(), weights)
        assert (found.value, found.se) == pytest.approx((other.kappa, other.std_kappa), rel=1e-9)


COUNTS = st.lists(st.lists(st.integers(0, 9), min_size=3, max_size=3), min_size=3, max_size=3)


@given(COUNTS.filter(lambda counts: sum(map(sum, counts)) > 0), st.sampled_from(WEIGHTS))
def test_who_is_called_first_does_not_matter(counts, weights):
    there, back = cohen_kappa(counts, weights), cohen_kappa([list(column) for column in zip(*counts, strict=True)], weights)
    assert (there.value, there.se) == pytest.approx((back.value, back.se), abs=1e-12)


@given(COUNTS)
def test_kappa_stays_between_minus_one_and_one(counts):
    if sum(map(sum, counts)) and (found := cohen_kappa(counts, "linear")).value is not None:
        assert -1 <= found.low <= found.value <= found.high <= 1


def test_with_two_classes_all_weights_are_the_same():
    assert len({cohen_kappa([[20, 5], [10, 15]], weights).value for weights in WEIGHTS}) == 1


def test_kappa_is_one_on_the_diagonal_and_zero_for_independent_sorting():
    assert cohen_kappa([[5, 0], [0, 7]]).value == 1
    assert cohen_kappa([[6, 4], [3, 2]]).value == pytest.approx(0, abs=1e-12)


def test_everything_in_one_class_has_no_kappa():
    found = cohen_kappa([[8, 0], [0, 0]])
    assert (found.value, found.se, found.low, found.high, found.n) == (None, None, None, None, 8)


@pytest.mark.parametrize(("counts", "weights", "error", "message"), [
    ([[1, 2]], "none", InputError, "table is not square"), ([[1, 2], [3]], "none", InputError, "table is not square"),
    ([[1, -2], [3, 4]], "none", InputError, "table is not made of counts; accepted: whole numbers from 0 up"),
    ([[1, 0.5], [3, 4]], "none", InputError, "not made of counts"),
    ([[0, 0], [0, 0]], "none", NotEnoughDataError, "The table holds no photo"),
    ([], "none", NotEnoughDataError, "The table holds no photo"),
    ([[1, 2], [3, 4]], "cubic", InputError, "weights is cubic; accepted: none, linear, quadratic"),
])
def test_a_table_that_cannot_be_read_is_refused(counts, weights, error, message):
    with pytest.raises(error, match=message):
        cohen_kappa(counts, weights)


@pytest.mark.as_it_was(NO_VALUE_NEEDS)
@pytest.mark.parametrize(("alpha", "use"), [
    (1.0, "use"), (0.80, "use"), (0.7999, "raters differ"), (0.667, "raters differ"), (0.6669, "display only"), (-0.2, "display only"),
    (None, "display only"),
])
def test_the_rule_follows_from_alpha(alpha, use):
    assert use_of(alpha) == use


def rated(scores, *, unit="left", first_day=0):
    """Scores by photo -> ratings by people P, Q, R; one photo a day."""
    return [Rating(f"{unit}{day}.jpg", unit, day, who, float(score)) for day, shown in enumerate(scores, first_day)
            for who, score in zip("PQR", shown, strict=False) if score is not None]


AGREED = [[1, 1], [2, 2], [3, 3], [4, 4], [5, 5], [3, 4]]


def test_people_who_agree_may_be_judged_and_the_sentence_says_so():
    found = rater_agreement(rated(AGREED))
    assert (found.use, found.raters, found.photos, found.complete) == ("use", 2, 6, True)
    assert found.reason.startswith(f"The 2 people agree at {found.alpha.value:.2f} (95 % interval ")
    assert found.alpha == krippendorff_alpha(AGREED)


def test_people_who_agree_moderately_get_the_tag_and_others_are_shown_only():
    moderate = rater_agreement(rated([[1, 2], [2, 2], [3, 3], [4, 3], [5, 4], [3, 5], [2, 1], [1, 1]]))
    assert 0.667 <= moderate.alpha.value < 0.80
    assert (moderate.use, moderate.reason.endswith("; that is moderate.")) == ("raters differ", True)
    poor = rater_agreement(rated([[1, 5], [2, 2], [3, 1], [4, 4], [5, 2], [3, 3]]))
    assert (poor.use, poor.reason.endswith("so the scores are shown only.")) == ("display only", True)


def test_one_person_cannot_show_agreement():
    found = rater_agreement(rated([[1], [2], [3]]))
    assert (found.use, found.alpha, found.complete) == ("not known", None, True)
    assert found.reason == "One person scored: nothing shows whether others would see the same."


def test_people_without_a_photo_in_common_are_shown_only():
    found = rater_agreement(rated([[1, None], [None, 2]]))
    assert (found.use, found.alpha, found.complete) == ("display only", None, False)
    assert found.reason.startswith("No photo was scored by two people")


def test_agreement_on_a_handful_of_photos_lets_nobody_judge():
    few = rater_agreement(rated([[1, 1], [2, 2], [3, 3]]))
    assert (few.use, few.alpha.value, few.alpha.low) == ("not known", 1.0, None)
    one_sided = rater_agreement(rated([[1, 1]] * 9 + [[3, 3]]))  # agreed, but only one photo was unlike the others
    assert (one_sided.use, one_sided.alpha.value) == ("not known", 1.0)
    assert one_sided.reason.startswith("Too few photos, or too few different scores, were seen by two people")


def test_scores_that_differ_by_rounding_only_are_one_score():
    assert krippendorff_alpha([[0.1 + 0.2, 0.3], [1, 1], [2, 2]]).value == 1


def test_scores_that_never_vary_are_shown_only():
    found = rater_agreement(rated([[3, 3]] * 6))
    assert (found.use, found.alpha.value) == ("display only", None)
    assert found.reason.startswith("All scores are the same")


def test_repeats_count_for_the_person_and_not_for_the_agreement():
    ratings = rated(AGREED)
    again = [Rating("left0.jpg", "left", 0, "P", 5.0), Rating("left1.jpg", "left", 1, "P", 2.0), Rating("left2.jpg", "left", 2, "P", 3.0)]
    found = rater_agreement(ratings + again)
    assert found.alpha == rater_agreement(ratings).alpha
    (own,) = found.self_agreement
    assert (own.rater, own.repeats) == ("P", 3)
    assert own.same_share == pytest.approx(2 / 3)
    # Classes 1 to 5: first score 1, 2, 3, second 5, 2, 3.
    expected = cohen_kappa([[0, 0, 0, 0, 1], [0, 1, 0, 0, 0], [0, 0, 1, 0, 0], [0] * 5, [0] * 5], "quadratic")
    assert own.kappa == expected


def test_one_repeat_gives_a_share_and_no_kappa():
    (own,) = self_agreement([*rated(AGREED), Rating("left0.jpg", "left", 0, "Q", 1.0)])
    assert (own.rater, own.repeats, own.same_share, own.kappa) == ("Q", 1, 1.0, None)
    assert self_agreement(rated(AGREED)) == ()


def test_scores_become_one_number_per_photo_marked_as_scores():
    ratings = [*rated([[2, 3], [4, 5]], unit="right", first_day=7), *rated([[1, 1]], unit="left"),
               Rating("second.jpg", "right", 7, "P", 6.5), Rating("second.jpg", "right", 7, "Q", 7.5),
               Rating("right7.jpg", "right", 7, "P", 100.0)]
    left, right = unit_series(ratings, "algae_by_eye")
    assert (left.unit, left.days, left.values, left.scored) == ("left", (0,), (1.0,), True)
    # Two photos on day 7; the repeat of 100 is not counted.
    assert (right.days, right.values, right.measure, right.ses) == ((7, 7, 8), (2.5, 7.0, 4.5), "algae_by_eye", (None,) * 3)


@given(st.randoms(use_true_random=False))
def test_the_order_of_the_scores_does_not_change_the_series(random):
    ratings = [*rated([[2, 3, 1], [4, 5, 5]]), *rated([[0.1, 0.2, 0.3]], unit="right")]
    assert unit_series(random.sample(ratings, len(ratings)), "a") == unit_series(ratings, "a")


@pytest.mark.parametrize(("ratings", "error", "message"), [
    ([], NotEnoughDataError, "There are no scores of this measure"),
    ([Rating("a", "left", 0, "P", 1.0), Rating("a", "right", 0, "Q", 1.0)], InputError, "photo is a; accepted: a photo of one unit on one"),
    ([Rating("a", "left", 0, "P", float("nan"))], InputError, "score is nan; accepted: a finite number"),
])
def test_scores_that_contradict_themselves_are_refused(ratings, error, message):
    with pytest.raises(error, match=message):
        rater_agreement(ratings)


def test_an_unknown_kind_of_score_is_refused_even_with_one_person():
    with pytest.raises(InputError, match="level is colour"):
        rater_agreement(rated([[1]]), "colour")
