"""The water of one unit: how much tap and pure water, which salts, for the first fill and for each water change."""

from dataclasses import dataclass

from fairtank.build import Setup, SourceWater, WaterPlan
from fairtank.errors import DesignError
from fairtank.planning.building.lines import sheet_line
from fairtank.planning.sheet import SheetLine
from fairtank.science.salts import Salt, salt
from fairtank.science.water import blend, tap_share

# Hardness closer than this to its target counts as there; a drop test shows half a degree.
NEAR_DEGREE = 0.01


@dataclass(frozen=True)
class SaltShare:
    """One salt of the recipe: its key or formula, what readers call it, grams per litre of water as made, what must be known of it."""

    key: str
    title: str
    grams_per_l: float
    batch: str = ""
    note: str = ""


@dataclass(frozen=True)
class Recipe:
    """Water as made: share of tap water, salts, and the hardness and known ions [mg/L] that come out."""

    tap_share: float
    salts: tuple[SaltShare, ...]
    kh_dkh: float
    gh_dgh: float
    ions_mg_l: tuple[tuple[str, float], ...]


def water_of(setup: Setup, unit: str) -> WaterPlan | None:
    """The water plan of a unit, or None."""
    return next((plan for plan in setup.water if setup.holds(plan.scope, unit)), None)


def salt_of(setup: Setup, name: str) -> tuple[Salt, str, str]:
    """A salt by its key in the catalogue or by its formula; with what readers call it and its batch."""
    material = next((material for material in setup.materials if material.key == name), None)
    if material is None:
        known = salt(name)
        return known, f"{known.title} ({known.formula})", ""
    if not material.formula:
        raise DesignError(f"{material.label} is used as a salt, but its formula is not given: write it with its water, such as MgSO4.7H2O.")
    return salt(material.formula), material.label, material.batch


def recipe_of(setup: Setup, plan: WaterPlan) -> Recipe:
    """How the water of a plan is made.

    Tap and pure water are blended for the KH target, because alkalinity blends in proportion (pH does not). If that leaves the GH above
    its target and a KH salt is at hand, there is less tap water instead and the salt brings the KH. Where both waters have the same KH,
    they are blended for the GH target. Then salts raise the GH.

    Raises
    ------
    DesignError
        If the targets cannot be reached with what the plan names; the sentence says what would help.
    """
    share = _share(setup, plan)
    kh_dkh, gh_dgh = _mix(share, plan, "kh_dkh"), _mix(share, plan, "gh_dgh")
    used: list[SaltShare] = []
    ions = _blended_ions(share, plan)
    wanted_kh = plan.target_kh_dkh
    if wanted_kh is not None and wanted_kh - kh_dkh > NEAR_DEGREE:
        dissolved, title, batch = salt_of(setup, plan.kh_salt)
        if dissolved.dkh_per_g_l <= 0:
            raise DesignError(f"{title} does not raise KH: name another kh_salt, such as KHCO3 or NaHCO3.")
        grams = (wanted_kh - kh_dkh) / dissolved.dkh_per_g_l
        used.append(SaltShare(plan.kh_salt, title, grams, batch, dissolved.note))
        kh_dkh, gh_dgh = float(wanted_kh), gh_dgh + grams * dissolved.dgh_per_g_l
        _add_ions(ions, dissolved, grams)
    if plan.target_gh_dgh is not None:
        for name, grams in _gh_salts(setup, plan, gh_dgh):
            dissolved, title, batch = salt_of(setup, name)
            used.append(SaltShare(name, title, grams, batch, dissolved.note))
            _add_ions(ions, dissolved, grams)
        gh_dgh = max(gh_dgh, float(plan.target_gh_dgh))
    return Recipe(share, tuple(used), kh_dkh, gh_dgh, tuple(sorted(ions.items())))


def _mix(share: float, plan: WaterPlan, field: str) -> float:
    tap = float(getattr(plan.tap, field))
    return tap if plan.pure is None else float(blend(share, tap, float(getattr(plan.pure, field))))


def _share(setup: Setup, plan: WaterPlan) -> float:
    """The share of tap water."""
    wanted, tap, pure = plan.target_kh_dkh, plan.tap, plan.pure
    if pure is None:
        _refuse_kh(plan, tap, tap)
        return 1.0
    is_alike = abs(tap.kh_dkh - pure.kh_dkh) <= NEAR_DEGREE
    if wanted is None and not (is_alike and plan.target_gh_dgh is not None):
        missing = "hardness to reach: give target_gh_dgh" if is_alike else "KH to reach: give target_kh_dkh"
        raise DesignError(f"{pure.key} and {tap.key} are both given, but no {missing}, or leave the second water out.")
    _refuse_kh(plan, *sorted((tap, pure), key=lambda water: water.kh_dkh))
    share = 1.0 if wanted is None else _share_for(tap.kh_dkh, pure.kh_dkh, wanted)
    if plan.target_gh_dgh is None:
        return share
    softer = _share_for(_gh_once_kh_is_made(1.0, setup, plan), _gh_once_kh_is_made(0.0, setup, plan), plan.target_gh_dgh)
    if is_alike:
        return softer
    is_too_hard = _gh_once_kh_is_made(share, setup, plan) > plan.target_gh_dgh + NEAR_DEGREE
    if is_too_hard and plan.kh_salt and _mix(softer, plan, "kh_dkh") <= (wanted or 0.0) + NEAR_DEGREE:
        return softer
    return share


def _refuse_kh(plan: WaterPlan, softest: SourceWater, hardest: SourceWater) -> None:
    """Refuse a KH that neither blending nor a salt can reach."""
    wanted = plan.target_kh_dkh
    if wanted is not None and wanted < softest.kh_dkh - NEAR_DEGREE:
        raise DesignError(f"KH {wanted:g} is below what the softest water has: {softest.key} has KH {softest.kh_dkh:g}. Blending cannot go "
                          "below it; take a softer second water or a higher target.")
    if wanted is not None and wanted > hardest.kh_dkh + NEAR_DEGREE and not plan.kh_salt:
        raise DesignError(f"KH {wanted:g} is above what the water has: {hardest.key} has KH {hardest.kh_dkh:g}. Name a kh_salt, such as "
                          "KHCO3, or take a lower target.")


def _gh_once_kh_is_made(share: float, setup: Setup, plan: WaterPlan) -> float:
    """GH of a blend with what its KH salt brings along, which falls or rises in a straight line with the share of tap water."""
    gh_dgh = _mix(share, plan, "gh_dgh")
    if plan.target_kh_dkh is None or not plan.kh_salt:
        return gh_dgh
    dissolved, _, _ = salt_of(setup, plan.kh_salt)
    grams = (plan.target_kh_dkh - _mix(share, plan, "kh_dkh")) / dissolved.dkh_per_g_l if dissolved.dkh_per_g_l > 0 else 0.0
    return gh_dgh + grams * dissolved.dgh_per_g_l


def _share_for(tap: float, pure: float, wanted: float) -> float:
    """The share of tap water that comes nearest to a wanted hardness; all tap water where both are alike."""
    if abs(tap - pure) <= NEAR_DEGREE:
        return 1.0
    low, high = min(tap, pure), max(tap, pure)
    return float(tap_share(tap, pure, min(max(wanted, low), high)))


def _gh_salts(setup: Setup, plan: WaterPlan, gh_dgh: float) -> list[tuple[str, float]]:
    """Which GH salts and how many grams per litre of each; the hardness that is missing is shared out in the proportions given."""
    wanted = plan.target_gh_dgh or 0.0
    if gh_dgh > wanted + NEAR_DEGREE:
        raise DesignError(f"GH {wanted:g} is below the GH {gh_dgh:.1f} that the water has once its KH is made: {_softer_words(plan)}, or "
                          "take a higher target.")
    if gh_dgh >= wanted - NEAR_DEGREE:
        return []
    if not plan.gh_salts:
        raise DesignError(f"GH {wanted:g} is above the GH {gh_dgh:.1f} that the water has: name gh_salts, such as CaSO4.2H2O and "
                          "MgSO4.7H2O, or take a lower target.")
    whole = sum(part for _, part in plan.gh_salts)
    shares = []
    for name, part in plan.gh_salts:
        dissolved, title, _ = salt_of(setup, name)
        if dissolved.dgh_per_g_l <= 0:
            raise DesignError(f"{title} does not raise GH: name a salt of calcium or magnesium among the gh_salts.")
        if dissolved.dkh_per_g_l > 0:
            raise DesignError(f"{title} raises KH together with GH: name it as kh_salt, and a sulphate or chloride among the gh_salts.")
        shares.append((name, (wanted - gh_dgh) * part / whole / dissolved.dgh_per_g_l))
    return shares


def _softer_words(plan: WaterPlan) -> str:
    """What would make the water softer: more of the softer water where it is at hand, else such a water."""
    softest = plan.tap if plan.pure is None else min(plan.tap, plan.pure, key=lambda water: water.gh_dgh)
    if plan.target_kh_dkh is None or plan.kh_salt:
        return "take a softer second water"
    if softest.gh_dgh > (plan.target_gh_dgh or 0.0):
        return "take a softer second water and a kh_salt"
    return f"name a kh_salt, such as KHCO3, so that more of {softest.key} can be taken"


def _blended_ions(share: float, plan: WaterPlan) -> dict[str, float]:
    """Ions of the blend; one that only one of the waters names counts as absent from the other."""
    tap, pure = dict(plan.tap.ions_mg_l), dict(plan.pure.ions_mg_l) if plan.pure else {}
    if plan.pure is None:
        return tap
    return {ion: float(blend(share, tap.get(ion, 0.0), pure.get(ion, 0.0))) for ion in {**tap, **pure}}


def _add_ions(ions: dict[str, float], dissolved: Salt, grams_per_l: float) -> None:
    for ion, mg_per_g in dissolved.ions:
        ions[ion] = ions.get(ion, 0.0) + mg_per_g * grams_per_l


def changes_in_trial(setup: Setup, plan: WaterPlan) -> int:
    """How many water changes fall into the trial."""
    return int(plan.changes_per_week * setup.weeks + 1e-9) if plan.change_fraction > 0 else 0


def water_lines(setup: Setup, unit: str, net_l: float, plan: WaterPlan | None, recipe: Recipe | None) -> tuple[SheetLine, ...]:
    """Litres and salts of the first fill, and of each water change; litres of both waters add up to what is poured."""
    if plan is None or recipe is None:
        return (sheet_line(unit, "water", "water", "water, first fill", net_l, "L", note="the kind of water was not planned"),)
    lines = _portion(setup, unit, plan, recipe, net_l, "first fill", 1)
    changes = changes_in_trial(setup, plan)
    if changes:
        words = f"each change of {100 * plan.change_fraction:g} %"
        lines += _portion(setup, unit, plan, recipe, plan.change_fraction * net_l, words, changes)
    return tuple(lines)


def _portion(setup: Setup, unit: str, plan: WaterPlan, recipe: Recipe, litres: float, words: str, times: int) -> list[SheetLine]:
    made = f"water as made: KH {recipe.kh_dkh:.1f}, GH {recipe.gh_dgh:.1f}"
    whole = sheet_line(unit, "water", plan.tap.key, "", litres, "L").planned
    tap_line = sheet_line(unit, "water", plan.tap.key, f"{water_words(setup, plan.tap)}, {words}", recipe.tap_share * whole, "L",
                          note=made if recipe.tap_share == 1 else f"{100 * recipe.tap_share:.1f} % of the {made}", times=times)
    lines = [tap_line] if tap_line.planned else []
    if plan.pure is not None and whole > tap_line.planned:
        lines.append(sheet_line(unit, "water", plan.pure.key, f"{water_words(setup, plan.pure)}, {words}", whole - tap_line.planned, "L",
                                note=f"{100 * (1 - recipe.tap_share):.1f} % of the {made}", times=times))
    for part in recipe.salts:
        note = f"into {whole:g} L; {made}" + (f". {part.note}" if part.note else "")
        line = sheet_line(unit, "water", part.key, f"{part.title}, {words}", part.grams_per_l * litres, "g", note=note, batch=part.batch,
                          times=times)
        if line.planned == 0:
            raise DesignError(f"{part.title}, {words}: less than 0.01 g, which no pocket scale shows; make the water for all units at "
                              "once, or leave the salt out.")
        lines.append(line)
    return lines


def water_words(setup: Setup, water: SourceWater) -> str:
    """What readers call a water: the title of the catalogue's row of its key, else the key."""
    return next((material.label for material in setup.materials if material.key == water.key), water.key.replace("_", " "))
