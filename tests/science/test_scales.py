"""Cover classes and film ranks: printed limits and middles, and what no mean of classes may do."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from checking import agrees
from fairtank.errors import InputError, OutOfRangeError
from fairtank.science import cover, scales


def plots_in(scale, *names):
    """Counts with one plot in each of the named classes."""
    return [names.count(name) for name in scales.COVER_SCALES[scale].names]


@pytest.mark.published(entry="class_cover_pct", source="daubenmire1959", where="class limits and middles; classes 1, 2, 2, 4 by hand")
@pytest.mark.parametrize(("classes", "printed"), [
    (["1"], "2.5"), (["2"], "15"), (["3"], "37.5"), (["4"], "62.5"), (["5"], "85"), (["6"], "97.5"), (["1", "2", "2", "4"], "23.75"),
])
def test_daubenmires_middles_equal_the_printed_ones(classes, printed):
    assert agrees(scales.class_cover_pct("daubenmire", plots_in("daubenmire", *classes)).mean_pct, printed)


@pytest.mark.published(entry="class_cover_pct", source="daubenmire_modified", where="0; T below 1 (0.5); 1 from 1 to 5 (3.0)")
@pytest.mark.parametrize(("name", "printed"), [("0", "0"), ("T", "0.5"), ("1", "3.0"), ("2", "15"), ("3", "37.5"), ("6", "97.5")])
def test_the_middles_of_the_modified_scale_equal_the_printed_ones(name, printed):
    assert agrees(scales.class_cover_pct("daubenmire_modified", plots_in("daubenmire_modified", name)).mean_pct, printed)


@pytest.mark.published(entry="class_cover_pct", source="braunblanquet1964", where="classes 5 to 1: from 3/4, 1/2, 1/4, 1/10, below")
@pytest.mark.parametrize(("name", "low", "high"), [
    ("5", "75", "100"), ("4", "50", "75"), ("3", "25", "50"), ("2", "10", "25"), ("1", "0", "10"),
])
def test_the_limits_of_braun_blanquet_equal_the_printed_ones(name, low, high):
    found = scales.class_cover_pct("braun_blanquet_10_25", plots_in("braun_blanquet_10_25", name))
    assert agrees(found.low_pct, low)
    assert agrees(found.high_pct, high)


@pytest.mark.as_it_was("r and + of Braun-Blanquet and the variant with 5 to 25 % are recalled, 2026-11-25")
def test_class_cover_pct_tells_the_two_variants_apart():
    middles = {scale: scales.COVER_SCALES[scale].middles_pct for scale in ("braun_blanquet_10_25", "braun_blanquet_5_25")}
    assert middles["braun_blanquet_10_25"] == (0.05, 0.5, 5.0, 17.5, 37.5, 62.5, 87.5)
    assert middles["braun_blanquet_5_25"] == (0.05, 0.5, 2.5, 15.0, 37.5, 62.5, 87.5)


def test_braun_blanquet_without_its_variant_is_refused():
    with pytest.raises(InputError, match=r"scale is braun_blanquet; accepted: braun_blanquet_10_25 or braun_blanquet_5_25\. Books differ"):
        scales.class_cover_pct("braun_blanquet", [0] * 7)


@given(data=st.data(), scale=st.sampled_from(sorted(scales.COVER_SCALES)))
def test_a_mean_of_classes_lies_between_its_limits_and_ignores_how_often_all_were_counted(data, scale):
    size = len(scales.COVER_SCALES[scale].names)
    counts = np.array(data.draw(st.lists(st.integers(0, 30), min_size=size, max_size=size).filter(any)))
    found, tripled = scales.class_cover_pct(scale, counts), scales.class_cover_pct(scale, 3 * counts)
    assert 0 <= found.low_pct <= found.mean_pct <= found.high_pct <= 100 + 1e-9
    assert tripled.mean_pct == pytest.approx(found.mean_pct)


def test_classes_of_every_scale_rise_and_leave_no_hole():
    for scale in scales.COVER_SCALES.values():
        assert len(scale.names) == len(scale.limits_pct) == len(set(scale.names))
        assert scale.limits_pct[0][0] == 0
        assert scale.limits_pct[-1][1] == 100
        assert list(scale.middles_pct) == sorted(scale.middles_pct)
        assert all(low <= before for (_, before), (low, _) in zip(scale.limits_pct[:-1], scale.limits_pct[1:], strict=True))


def test_both_ways_to_give_daubenmires_classes_agree():
    assert cover.daubenmire_mean_pct([1, 2, 2, 4]) == scales.class_cover_pct("daubenmire", [1, 2, 0, 1, 0, 0]).mean_pct


@pytest.mark.as_it_was("the ranks are recalled, 2026-11-25")
def test_periphyton_mean_rank_is_the_mean_of_recalled_ranks():
    assert scales.periphyton_mean_rank(list(scales.PERIPHYTON_RANKS)) == pytest.approx(15.5 / 7)
    assert scales.periphyton_mean_rank([3, 3, 3]) == 3.0


@pytest.mark.parametrize(("call", "error", "sentence"), [
    (lambda: scales.class_cover_pct("mine", [1]), InputError, r"scale is 'mine'; accepted: daubenmire, daubenmire_modified, braun"),
    (lambda: scales.class_cover_pct("daubenmire", [1, 2]), InputError, r"counts is a list of 2; accepted: 6 numbers, for the classes 1"),
    (lambda: scales.class_cover_pct("daubenmire", [0.5] * 6), OutOfRangeError, r"counts is 0\.5; accepted: whole numbers of plots"),
    (lambda: scales.class_cover_pct("daubenmire", [0] * 6), OutOfRangeError, r"counts is 0 in sum; accepted: one plot or more"),
    (lambda: scales.class_cover_pct("daubenmire", [-1] * 6), OutOfRangeError, r"counts is -1\.0; accepted: 0 to 1e\+09"),
    (lambda: scales.periphyton_mean_rank([0, 2.5]), OutOfRangeError, r"ranks is 2\.5; accepted: 0, 0\.5, 1, 2, 3, 4 or 5"),
    (lambda: scales.periphyton_mean_rank([6]), OutOfRangeError, r"ranks is 6\.0; accepted: 0 to 5"),
    (lambda: scales.periphyton_mean_rank([]), OutOfRangeError, r"ranks is an empty list; accepted: one rank or more"),
])
def test_classes_that_are_none_are_refused(call, error, sentence):
    with pytest.raises(error, match=sentence):
        call()
