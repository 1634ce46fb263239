"""The lot: numbers that anybody can work out again, every allocation equally likely, blocks balanced, handbook counts."""

import csv
import hashlib
import itertools
import math
from collections import Counter
from datetime import date
from pathlib import Path

import pytest

from checking import agrees
from fairtank.errors import DesignError, InputError, OutOfRangeError
from fairtank.factor import FactorValue
from fairtank.planning.drawing.allocation import drawn_odd, possible_count, spread_count
from fairtank.planning.drawing.blocking import blocks_by, usual_columns, values_of
from fairtank.planning.drawing.latin import drawn_square, reduced_squares, square_count
from fairtank.planning.drawing.lots import LotInputs, drawn_lots
from fairtank.planning.drawing.numbers import Lot
from fairtank.trial import Arm, MeasureChoice, Plan, Unit

SIX = ("T1", "T2", "T3", "T4", "T5", "T6")
PAIRS = tuple(zip(SIX, ("a", "a", "b", "b", "c", "c"), strict=True))
THREES = tuple(zip(SIX, ("a", "a", "a", "b", "b", "b"), strict=True))


def by_hand(seed, label, count):
    """A number as the procedure tells it, from the standard library's digest and nothing of ours."""
    return int(hashlib.sha256(f"{seed}:{label}:{count}".encode()).hexdigest()[:8], 16)


def drawn(seed, blocks=(), arms=("R", "C"), kind="side_by_side", units=SIX, **more):
    return drawn_lots(seed, LotInputs(kind, units, arms, blocks, **more))


def is_even_enough(counts, possible):
    """Whether counts as uneven as these come oftener than once in a thousand where each outcome is equally likely.

    Chi-square against its upper 0.1 % by the cube-root approximation, good to 1 % from 7 degrees of freedom on.
    """
    df = possible - 1
    total = sum(counts)
    expected = total / possible
    square = sum((count - expected) ** 2 / expected for count in counts) + expected * (possible - len(counts))
    return square < df * (1 - 2 / (9 * df) + 3.0902 * math.sqrt(2 / (9 * df))) ** 3


# numbers ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(("seed", "label", "count"), [(7, "arms 1", 0), (0, "places", 1), (2**63 - 1, "planting order", 2)])
def test_a_number_is_the_remainder_of_the_digests_first_eight_digits(seed, label, count):
    lot = Lot(seed, label)
    taken = [lot.one_of(6) for _ in range(count + 1)]
    assert taken[count] == by_hand(seed, label, count) % 6
    assert lot.used[count].text == f"{seed}:{label}:{count}"
    assert lot.used[count].value == by_hand(seed, label, count)


@pytest.mark.as_it_was("pinned, so that a draw made today comes out again in every later version, 2026-11-26")
def test_the_same_seed_gives_the_same_draw_for_ever():
    lot = Lot(7, "arms 1")
    assert [lot.one_of(count) for count in (6, 5, 4, 3, 2)] == [5, 2, 2, 1, 1]
    assert drawn(7).arms == (("T1", "R"), ("T2", "C"), ("T3", "R"), ("T4", "C"), ("T5", "R"), ("T6", "C"))
    assert drawn(7).planting == ("T2", "T6", "T4", "T1", "T5", "T3")


def test_arms_come_out_as_a_shuffle_worked_out_by_hand():
    row = ["R", "R", "R", "C", "C", "C"]
    for count, place in enumerate(range(5, 0, -1)):
        other = by_hand(482915, "arms 1", count) % (place + 1)
        row[place], row[other] = row[other], row[place]
    assert [arm for _, arm in drawn(482915).arms] == row


def test_a_number_that_would_favour_some_remainders_is_passed_over():
    third = 3 * 2**30  # the last quarter of all numbers must be passed over
    passed = next(seed for seed in range(100) if by_hand(seed, "x", 0) >= third > by_hand(seed, "x", 1))
    lot = Lot(passed, "x")
    assert lot.one_of(third) == by_hand(passed, "x", 1)
    assert [one.result for one in lot.used] == [None, by_hand(passed, "x", 1)]


def test_one_of_one_needs_no_number_and_one_of_none_is_refused():
    lot = Lot(1, "x")
    assert lot.one_of(1) == 0
    assert not lot.used
    with pytest.raises(OutOfRangeError, match="draw one from is 0"):
        lot.one_of(0)


# every allocation equally likely ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("blocks", "possible"), [((), 20), (PAIRS, 8), (THREES, 18)])
def test_every_allocation_is_equally_likely(blocks, possible):
    seen = Counter(drawn(seed, blocks).arms for seed in range(1600))
    assert len(seen) == possible == drawn(1, blocks).possible
    assert is_even_enough(seen.values(), possible)


def test_every_spread_of_what_is_left_over_is_equally_likely():
    seen = Counter(drawn_odd((1, 2, 1), 3, seed)[0] for seed in range(1000))
    allowed = [taken for taken in itertools.product(((0,), (1,), (2,)), ((0, 1), (0, 2), (1, 2)), ((0,), (1,), (2,)))
               if max(Counter(itertools.chain(*taken)).values()) <= 2 and len(set(itertools.chain(*taken))) == 3]
    assert set(seen) == set(allowed)
    assert len(allowed) == spread_count((1, 2, 1), 3)
    assert is_even_enough(seen.values(), len(allowed))


@pytest.mark.parametrize(("sizes", "arms"), [((3, 3), 2), ((3, 4, 5), 2), ((4, 2), 3), ((5, 3), 3), ((2, 2, 2), 2), ((7,), 3)])
def test_possible_draws_are_counted_as_by_writing_all_of_them_down(sizes, arms):
    blocks = [block for block, size in enumerate(sizes) for _ in range(size)]

    def is_even(allocation):
        pairs = list(zip(allocation, blocks, strict=True))
        within = [Counter(arm for arm, own in pairs if own == block) for block in range(len(sizes))]
        counts = [[own[arm] for arm in range(arms)] for own in (*within, Counter(allocation))]
        return all(max(own) - min(own) <= 1 for own in counts)
    assert possible_count(sizes, arms) == sum(is_even(one) for one in itertools.product(range(arms), repeat=sum(sizes)))


@pytest.mark.parametrize(("sizes", "arms"), [((2,) * 5, 2), ((3,) * 4, 2), ((5, 4, 3), 3), ((7, 7), 4), ((6,), 5)])
def test_blocks_and_the_whole_are_as_even_as_they_can_be(sizes, arms):
    units = tuple(f"U{number}" for number in range(sum(sizes)))
    places = [str(block) for block, size in enumerate(sizes) for _ in range(size)]
    blocks = tuple(zip(units, places, strict=True))
    for seed in range(25):
        own = dict(drawn(seed, blocks, arms=tuple("ABCDE"[:arms]), units=units).arms)
        for block in ("", *map(str, range(len(sizes)))):
            counts = Counter(own[unit] for unit, name in blocks if block in ("", name))
            assert max(counts[arm] for arm in "ABCDE"[:arms]) - min(counts[arm] for arm in "ABCDE"[:arms]) <= 1


def test_numbers_of_possible_draws_beyond_any_machine_word_stay_exact():
    assert possible_count((2,) * 100, 2) == 2**100
    assert possible_count((40,), 2) == math.comb(40, 20)


# designs ------------------------------------------------------------------------------------------------------------


def test_a_drawn_start_draws_the_tank_and_the_day():
    days = Counter()
    for seed in range(700):
        one = drawn(seed, kind="drawn_start", units=("T1", "T2"), window=(10, 23))
        days[one.drawn_day] += 1
        assert one.possible == 28
    assert set(days) == set(range(10, 24))
    assert is_even_enough(days.values(), 14)


def test_in_rounds_either_tank_has_the_change_equally_often():
    units = tuple(f"{tank}{number}" for number in range(5) for tank in "AB")
    inputs = {"blocks": tuple((unit, unit[1]) for unit in units), "tanks": tuple((unit, unit[0]) for unit in units)}
    seen = Counter(drawn(seed, kind="rounds", units=units, **inputs).arms for seed in range(1000))
    assert len(seen) == 20 == drawn(0, kind="rounds", units=units, **inputs).possible
    assert is_even_enough(seen.values(), 20)
    for arms in seen:
        assert sum(arm == "C" for unit, arm in arms if unit[0] == "A") in (2, 3)


def test_places_are_drawn_before_the_arms_and_take_their_blocks_along():
    places = tuple((unit, f"place {number}") for number, unit in enumerate(SIX))
    one = drawn(3, PAIRS, places=places)
    assert sorted(place for _, place in one.places) == sorted(place for _, place in places)
    for unit, taken in one.moved:
        assert dict(one.blocks)[unit] == dict(PAIRS)[taken]
    arms = dict(one.arms)
    assert all(Counter(arms[unit] for unit, block in one.blocks if block == name) == {"R": 1, "C": 1} for name in "abc")


@pytest.mark.parametrize(("more", "said"), [
    ({"units": ("T1",)}, "every arm needs a unit"),
    ({"blocks": tuple((unit, unit) for unit in SIX)}, "one unit only"),
    ({"rows": THREES, "columns": PAIRS}, "needs 2 rows and 2 columns"),
    ({"kind": "rounds", "blocks": PAIRS, "tanks": tuple((unit, unit) for unit in SIX)}, "the same two tanks"),
])
def test_what_cannot_be_drawn_is_refused(more, said):
    with pytest.raises(DesignError, match=said):
        drawn(1, **more)


# handbook examples --------------------------------------------------------------------------------------------------


@pytest.mark.published(entry="reduced_squares", source="oeis_a000315", where="terms 1 to 6")
@pytest.mark.parametrize(("size", "printed"), [(1, "1"), (2, "1"), (3, "1"), (4, "4"), (5, "56"), (6, "9408")])
def test_reduced_latin_squares_are_as_many_as_printed(size, printed):
    assert str(len(reduced_squares(size))) == printed


@pytest.mark.as_it_was("counts of Latin squares, literature values from memory (Fisher & Yates; OEIS A002860), 2026-11-26")
def test_latin_squares_are_as_many_as_remembered():
    assert [square_count(size) for size in range(1, 7)] == [1, 2, 12, 576, 161280, 812851200]


def test_latin_squares_of_three_and_four_are_as_many_as_by_writing_all_of_them_down():
    for size in (3, 4):
        rows = list(itertools.permutations(range(size)))
        above = itertools.product(rows, repeat=size - 1)  # the last row follows from those above it
        assert square_count(size) == sum(all(len(set(column)) == size - 1 for column in zip(*square, strict=True)) for square in above)


def test_every_latin_square_of_three_is_equally_likely():
    seen = Counter(drawn_square(3, (Lot(seed, "square"), Lot(seed, "columns"), Lot(seed, "rows"))) for seed in range(900))
    assert len(seen) == 12
    assert is_even_enough(seen.values(), 12)
    assert all(sorted(line) == [0, 1, 2] for square in seen for line in (*square, *zip(*square, strict=True)))


def test_a_latin_square_beyond_six_is_refused():
    with pytest.raises(DesignError, match="7 rows cannot be drawn"):
        reduced_squares(7)


# blocks -------------------------------------------------------------------------------------------------------------


def plan_at(positions, kind="side_by_side", arms=2, **more):
    units = tuple(Unit(f"T{number}", "RCDE"[number % arms], position=place) for number, place in enumerate(positions, start=1))
    named = tuple(Arm(key, "changed" if number else "reference") for number, key in enumerate("RCDE"[:arms]))
    return Plan("A trial", date(2026, 3, 1), 42, kind, named, units, (MeasureChoice("algae_cover", "primary"),), **more)


def test_neighbours_are_counted_along_each_shelf_whatever_the_order_of_the_plan():
    plan = plan_at([f"shelf {shelf}, place {place}" for shelf, place in ((1, 10), (2, 1), (1, 9), (2, 2), (1, 1), (1, 2))])
    assert [block for _, block in blocks_by(plan, ("neighbours",))] == [f"neighbours {n}" for n in (2, 3, 2, 3, 1, 1)]


def test_several_columns_make_a_block_together():
    plan = plan_at(["shelf 1, place 1", "shelf 1, place 2", "shelf 2, place 1", "shelf 2, place 2"])
    hands = [FactorValue("", "hands", "M"), FactorValue("T2", "hands", "N")]
    assert [block for _, block in blocks_by(plan, ("shelf", "hands"), hands)] == ["shelf 1, M", "shelf 1, N", "shelf 2, M", "shelf 2, M"]


def test_the_shelf_of_the_factors_serves_where_no_position_tells_it():
    plan = plan_at(["", ""])
    factors = [FactorValue("T1", "shelf", "upper"), FactorValue("T2", "shelf", "lower")]
    assert values_of(plan, "shelf", factors) == {"T1": "upper", "T2": "lower"}


def test_pairs_and_rounds_are_blocks_without_being_asked_for():
    assert usual_columns(plan_at(["a", "b"], kind="pairs")) == ("pair",)
    assert usual_columns(plan_at(["a", "b"], kind="rounds")) == ("round",)
    assert usual_columns(plan_at(["a", "b"])) == ()


def test_a_column_that_is_not_known_or_empty_is_refused():
    with pytest.raises(InputError, match="a column to block by is mood"):
        blocks_by(plan_at(["a", "b"]), ("mood",))
    with pytest.raises(DesignError, match="blocked by block: T1, T2 have none"):
        blocks_by(plan_at(["a", "b"]), ("block",))
    with pytest.raises(DesignError, match="T2 has none"):
        blocks_by(plan_at(["left", ""]), ("neighbours",))


@pytest.mark.published(entry="blocks_by", source="strickland1935", where="mean yield of the peach trees, as printed, 131.3 pounds")
def test_the_table_of_peaches_is_the_one_that_was_printed():
    with (Path(__file__).resolve().parent.parent / "published" / "strickland_peach_uniformity.csv").open(encoding="utf-8") as lines:
        next(lines)
        yields = [float(row["yield"]) for row in csv.DictReader(lines)]
    assert len(yields) == 144
    assert agrees(sum(yields) / len(yields), "131.3")
