"""Points of an audit: where they fall, and what their answers say about the map."""

import numpy as np
import pytest
from tests.checking import agrees
from tests.vision.pictures import tank_picture

from fairtank.errors import NotEnoughDataError
from fairtank.lens import Lens
from fairtank.science.cover import area_from_matrix, audited_cover
from fairtank.trial import Zone
from fairtank.vision.audit import Checked, arm_audit, bias_difference, map_audited, points_needed
from fairtank.vision.audit_points import Site, counted_part, places_in_frame, points_allotted, points_placed
from fairtank.vision.crops import ENLARGED, GAP_PX, SIDE_PX, point_crop, whole_photo
from fairtank.vision.framing.lens import bent_points, straight_points

CORNERS = ((200.0, 150.0), (820.0, 120.0), (860.0, 640.0), (150.0, 610.0))
# Olofsson et al. (2014), section 5: rows map class, columns reference class; mapped ha.
FOREST = ([[66, 0, 5, 4], [0, 55, 8, 12], [1, 0, 153, 11], [2, 1, 9, 313]], [18_000.0, 13_500.0, 288_000.0, 580_500.0])


def points(in_right, in_wrong, out_hit, out_right, unsure=0, photo="a"):
    """Checked points by what the map says and what is there."""
    rows = [(True, 1.0)] * in_right + [(True, 0.0)] * in_wrong + [(False, 1.0)] * out_hit + [(False, 0.0)] * out_right
    return [Checked(photo, *row) for row in rows] + [Checked(photo, place % 2 == 0, None) for place in range(unsure)]


@pytest.mark.published(entry="area_from_matrix", source="olofsson2014", where="section 5, deforestation example; areas and ±1.96 SE in ha")
@pytest.mark.parametrize(("place", "printed", "printed_half"), [(0, "21157.8", 6157.6), (1, "11686.2", 3755.8), (2, "285769.9", 15509.8),
                                                          (3, "581386.2", 16281.7)])
def test_the_stratified_share_equals_the_printed_area_and_its_interval_is_like_the_printed_one(place, printed, printed_half):
    matrix, mapped = np.array(FOREST[0], float), np.array(FOREST[1])
    found = map_audited(mapped / mapped.sum(), matrix[:, place], matrix.sum(axis=1), [one == place for one in range(4)])
    assert agrees(found.share * mapped.sum(), printed)
    bias = mapped[place] - found.share * mapped.sum()
    assert bias == pytest.approx(mapped[place] - area_from_matrix(*FOREST).area[place])
    half = (found.high - found.low) / 2 * mapped.sum()
    assert 0.9 * printed_half < half < 1.8 * printed_half  # the printed one takes a class without a hit for sure


@pytest.mark.published(entry="wilson", source="scipy_library", where="stats.binomtest(k, n).proportion_ci(method='wilson')")
@pytest.mark.parametrize(("hits", "count"), [(0, 30), (3, 60), (30, 30), (199, 400)])
def test_a_map_of_one_class_gives_wilsons_interval(hits, count):
    from scipy.stats import binomtest

    found, other = map_audited([1.0], [hits], [count], [True]), binomtest(hits, count).proportion_ci(method="wilson")
    assert (found.low, found.high) == pytest.approx((other.low, other.high), abs=1e-12)


@pytest.mark.published(entry="audited_cover", source="statsmodels_library", where="proportion.confint_proportions_2indep(method='newcomb')")
@pytest.mark.parametrize(("one", "of_one", "other", "of_other"), [(56, 70, 48, 80), (9, 30, 3, 30), (0, 40, 0, 50)])
def test_without_a_map_the_difference_of_biases_is_that_of_two_counted_shares(one, of_one, other, of_other):
    from statsmodels.stats.proportion import confint_proportions_2indep

    # A map that shows nothing is too low by the whole share: its bias is minus the share.
    first, second = (arm_audit("R", points(0, 0, hits, count - hits), {"a": 0.0}) for hits, count in ((one, of_one), (other, of_other)))
    found = bias_difference(second, first)
    limits = confint_proportions_2indep(one, of_one, other, of_other, method="newcomb")
    assert (found.low, found.high) == pytest.approx(limits, abs=1e-12)


def test_the_interval_is_that_of_the_calculator_where_no_part_of_the_map_is_empty():
    one, other = map_audited([0.3, 0.7], [27, 7], [30, 70], [True, False]), audited_cover(0.3, 27, 30, 7, 70)
    assert (one.share, one.low, one.high) == pytest.approx((other.share, other.low, other.high), abs=1e-15)


def test_a_perfect_map_and_a_map_class_without_points_leave_an_interval():
    perfect = arm_audit("R", points(30, 0, 0, 70), {"a": 0.3})
    assert perfect.bias == pytest.approx(0)
    assert perfect.bias_low < -0.02
    assert perfect.bias_high > 0.02
    rare = arm_audit("R", points(0, 0, 0, 60), {"a": 0.004})
    assert (rare.bias, rare.bias_high) == pytest.approx((0.0, 0.004))
    assert rare.bias_low < -0.03


def test_unsure_points_count_for_nothing_and_are_bounded():
    plain, unsure = (arm_audit("R", points(27, 3, 7, 63, count), {"a": 0.3}) for count in (0, 8))
    assert (unsure.bias, unsure.points, unsure.unsure) == (plain.bias, 100, 8)
    assert plain.if_it == plain.if_not == plain.truth
    assert unsure.if_not < unsure.truth < unsure.if_it
    difference = bias_difference(unsure, plain)
    assert difference.lowest < difference.value == 0 < difference.highest


def test_answers_of_several_people_count_in_part():
    whole, half = (arm_audit("R", [Checked("a", True, truly)] * 40 + [Checked("a", False, 0.0)] * 60, {"a": 0.4}) for truly in (1.0, 0.5))
    assert whole.truth == pytest.approx(0.4)
    assert half.truth == pytest.approx(0.2)


def test_the_maps_share_is_weighted_by_the_points_of_each_photo():
    made = points(10, 0, 0, 20, photo="a") + points(5, 0, 0, 5, photo="b")
    assert arm_audit("R", made, {"a": 0.2, "b": 0.6}).map_share == pytest.approx(0.3)
    with pytest.raises(NotEnoughDataError, match="No audit point of arm R has a telling answer"):
        arm_audit("R", points(0, 0, 0, 0, unsure=3), {"a": 0.2})


@pytest.mark.parametrize(("cover", "found", "left", "count"), [(0.01, 0.95, 0.97, 50), (0.03, 0.97, 0.985, 100), (0.25, 0.85, 0.92, 200),
                                                       (0.60, 0.95, 0.97, 400), (0.60, 0.85, 0.92, 30)])
def test_intervals_hold_the_truth_in_94_of_100_simulated_audits(cover, found, left, count):
    chance, trials = np.random.default_rng(20261126), 300
    shares = np.array([cover * found, cover * (1 - found), (1 - cover) * (1 - left), (1 - cover) * left])
    share, bias = float(shares[0] + shares[2]), float(shares[2] - shares[1])
    held, held_difference = 0, 0
    for _ in range(trials):
        arms = [arm_audit("R", points(*(int(part) for part in chance.multinomial(count, shares[[0, 2, 1, 3]]))), {"a": share})
                for _ in range(2)]
        held += arms[0].bias_low <= bias <= arms[0].bias_high
        difference = bias_difference(*arms)
        held_difference += difference.low <= 0 <= difference.high
    by_chance = 2 * (0.95 * 0.05 / trials) ** 0.5
    assert held / trials > 0.94 - by_chance
    assert held_difference / trials > 0.94 - by_chance


@pytest.mark.parametrize(("cover", "found", "left"), [(0.03, 0.97, 0.985), (0.25, 0.95, 0.97), (0.55, 0.85, 0.92)])
def test_the_points_asked_for_reach_two_percentage_points(cover, found, left):
    chance = np.random.default_rng(5)
    shares = np.array([cover * found, (1 - cover) * (1 - left), cover * (1 - found), (1 - cover) * left])
    share = float(shares[:2].sum())
    count = points_needed(share, shares[0] / share, shares[2] / (1 - share))
    made = [arm_audit("R", points(*(int(part) for part in chance.multinomial(count, shares))), {"a": share}) for _ in range(60)]
    assert np.mean([(one.high - one.low) / 2 for one in made]) == pytest.approx(0.02, abs=0.0008)
    assert made[0].needed == pytest.approx(count, rel=0.6)


def test_a_perfect_map_asks_for_points_too_and_a_better_map_for_fewer():
    assert points_needed(0.3, 1.0, 0.0) > 100
    assert points_needed(0.3, 0.95, 0.02) < points_needed(0.3, 0.8, 0.1)


def sites(units=4, photos=9):
    return tuple(Site(f"{unit}-{day}", f"T{unit}", "RC"[unit % 2], day * 3 // photos) for unit in range(units) for day in range(photos))


def test_points_are_as_even_as_can_be_over_arms_units_thirds_and_photos():
    drawn = points_allotted(sites(), 60, np.random.default_rng(4))
    by = {site.photo: site for site in sites()}
    for level, most in ((lambda site: site.arm, 0), (lambda site: site.unit, 0), (lambda site: (site.unit, site.third), 0),
                        (lambda site: site.photo, 1)):  # fmt: skip
        counts = {level(site): 0 for site in sites()}
        for photo in drawn:
            counts[level(by[photo])] += 1
        assert max(counts.values()) - min(counts.values()) <= most, counts


def test_an_arm_of_fewer_tanks_gets_as_many_points_and_a_second_draw_evens_out():
    uneven = tuple(Site(f"{unit}-{day}", unit, arm, 0) for unit, arm in (("A", "R"), ("B", "C"), ("D", "C")) for day in range(4))
    drawn = points_allotted(uneven, 24, np.random.default_rng(4))
    assert [sum(photo[0] == unit for photo in drawn) for unit in "ABD"] == [12, 6, 6]
    before = tuple(Site(site.photo, site.unit, site.arm, site.third, 3 if site.unit == "A" else 0) for site in uneven)
    drawn = points_allotted(before, 12, np.random.default_rng(4))
    assert [sum(photo[0] == unit for photo in drawn) for unit in "ABD"] == [0, 6, 6]
    with pytest.raises(NotEnoughDataError, match="no usable photo on a judged day"):
        points_allotted((), 4, np.random.default_rng(4))


def test_points_fall_evenly_over_the_frame_seen_straight_on_and_never_on_what_is_left_out():
    zones = [Zone("T1", "pump", "static", ((0, 0), (14, 0), (14, 25), (0, 25))), Zone("T1", "bed", "floor", ((0, 40), (70, 40), (70, 50)))]
    counted = counted_part(zones, 70.0, 50.0)
    placed = points_placed(counted, CORNERS, (1000, 750), 1500, np.random.default_rng(8))
    across, down = places_in_frame(placed, CORNERS, 70, 50).T
    assert (across >= 0).all()
    assert (across < 70).all()
    assert (down >= 0).all()
    assert (down < 50).all()
    assert not ((across < 14) & (down < 25)).any()
    counts = np.histogram2d(across, down, bins=[[14, 28, 42, 56, 70], [0, 25, 50]])[0].ravel()
    expected = 1500 * 14 * 25 / (70 * 50 - 14 * 25)
    assert ((counts - expected) ** 2 / expected).sum() < 30  # 8 cells; chance exceeds 30 less than once in a thousand


def test_the_same_seed_draws_the_same_points_and_another_one_others():
    counted = counted_part((), 70.0, 50.0)
    first, again, other = (points_placed(counted, CORNERS, (1000, 750), 5, np.random.default_rng(seed)).tolist() for seed in (1, 1, 2))
    assert first == again != other
    outside = tuple((x + 5000, y) for x, y in CORNERS)
    with pytest.raises(NotEnoughDataError, match="Hardly anything of the frame"):
        points_placed(counted, outside, (1000, 750), 5, np.random.default_rng(1))


def decoded(content):
    import simplejpeg

    return simplejpeg.decode_jpeg(content, "RGB")


def test_the_cross_leaves_the_point_free_and_nothing_outside_the_frame_is_shown():
    picture = tank_picture(3)
    corners = ((150.0, 120.0), (850.0, 120.0), (850.0, 620.0), (150.0, 620.0))
    crop = decoded(point_crop(picture, 180.3, 580.5, corners))
    side = SIDE_PX * ENLARGED
    assert crop.shape == (side, side, 3)
    middle = crop[side // 2 - 8 : side // 2 + 8, side // 2 - 8 : side // 2 + 8].reshape(-1, 3).astype(int)
    assert np.abs(middle.mean(axis=0) - picture[577:584, 177:184].reshape(-1, 3).mean(axis=0)).max() < 12
    assert crop[side // 2, side // 2 + GAP_PX + 20].min() > 200  # an arm of the cross
    grey = crop[side // 2, :100].astype(int)  # left of the frame, whose edge lies 30 px beside the point
    assert np.abs(grey - 128).max() < 12
    assert np.abs(crop[-60:].astype(int) - 128).max() < 20  # below the frame


def test_a_photo_is_shown_upright_and_in_full_detail(tmp_path):
    from PIL import Image

    picture = tank_picture(2)[:, :600]
    exif = Image.Exif()
    exif[0x0112] = 6
    Image.fromarray(np.rot90(picture)).save(tmp_path / "turned.jpg", quality=95, exif=exif)
    assert np.abs(whole_photo(tmp_path / "turned.jpg").astype(int) - picture).mean() < 4


LENS = Lens("phone", 1500.0, -0.12, 0.04, 0.0, 0)


def test_through_a_bent_lens_points_fall_evenly_too_and_are_found_again_where_they_were_drawn():
    corners = bent_points(np.array(CORNERS), LENS, 1000, 750)
    zone = Zone("T1", "pump", "static", ((0, 0), (70, 0), (70, 10), (0, 10)))
    placed = points_placed(counted_part([zone], 70.0, 50.0), corners, (1000, 750), 800, np.random.default_rng(8), LENS)
    straight = straight_points(placed, LENS, 1000, 750)
    across, down = places_in_frame(straight, CORNERS, 70, 50).T
    assert down.min() > 10
    assert places_in_frame(placed, corners, 70, 50, LENS, (1000, 750)) == pytest.approx(np.column_stack([across, down]), abs=1e-3)
    unaware = places_in_frame(placed, corners, 70, 50)
    assert np.abs(unaware - np.column_stack([across, down])).max() > 0.2  # cm in this frame
    counts = np.histogram2d(across, down, bins=[[0, 35, 70], [10, 30, 50]])[0].ravel()
    assert ((counts - 200) ** 2 / 200).sum() < 17  # 4 cells; chance exceeds 17 less than once in a thousand


def test_through_a_bent_lens_the_picture_of_a_point_shows_the_frame_to_its_bent_edge():
    corners = bent_points(np.array(CORNERS), LENS, 1000, 750)
    edge = bent_points(np.array([[(CORNERS[0][0] + CORNERS[1][0]) / 2, (CORNERS[0][1] + CORNERS[1][1]) / 2]]), LENS, 1000, 750)[0]
    white = np.full((750, 1000, 3), 255, np.uint8)
    shown = [int((decoded(point_crop(white, edge[0], edge[1] + 60, corners, lens))[:190, 180].max(axis=1) > 200).sum())
             for lens in (None, LENS)]  # fmt: skip
    assert shown[1] - shown[0] >= 2
    assert shown[1] == pytest.approx(190 - 200 + 60 * ENLARGED, abs=3)


def test_points_are_not_drawn_on_a_painted_patch():
    patch = Zone("T1", "white", "patch", ((0, 0), (35, 0), (35, 50), (0, 50)))
    assert counted_part([patch], 70.0, 50.0).mean() == pytest.approx(0.5, abs=0.01)
