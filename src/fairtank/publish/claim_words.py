"""A claim check in plain words: what a keeper would say, the working, what it rests on, what would settle it, and the cautions.

It says whether an effect can be measured in this tank, never whether the claim is true.
"""

import math
from dataclasses import dataclass

from fairtank.planning.claiming.claim import LIVELIER, MEASURABLE, NOT_MEASURABLE, PERHAPS, SEEN_FROM, SMALL_SHARE, Claim, Fact, Step
from fairtank.publish.numbers import figures, plain_number, trimmed, with_unit
from fairtank.publish.phrases import capital
from fairtank.science.cautions import CAUTIONS, LAST_WORD

_SURFACE_WORDS = {
    "still": "a still surface", "gentle": "a gently moving surface", "rippled": "a rippling surface",
    "agitated": "a strongly stirred surface",
}
_METER_WORDS = {"quantum_sensor": "quantum sensor", "lux_meter": "lux meter", "phone": "phone"}
_VERDICT_WORDS = {
    MEASURABLE: "{} can be measured in this tank.",
    PERHAPS: "{} can perhaps be measured in this tank: it depends on what is only assumed here.",
    NOT_MEASURABLE: "{} cannot be measured in this tank.",
}
_REMARKS = {
    "bubbles": "All the gas is counted as dissolved; what rises and leaves as bubbles lifts the oxygen less.",
    "kh_low": "Below 1 dKH one drop of the hardness test is most of what it reads: carbon dioxide can then be told as a range at best.",
    "acids": "Wood and soil give acids that the hardness test counts as carbonate; the reading is then too high.",
    "kit": "Kits differ more between batches than within one: use one batch for all tanks, and read all of them in one sitting.",
    "new_water": "New water is taken to bring the same amount to all tanks; test it as well.",
    "same_lamp": "A lux meter and a phone compare only lamps of the same kind: they count colours as the eye does, not as plants do.",
}
SCOPE_WORDS = "This says what can be measured here, not whether the claim is true."
HEADINGS = ("How it was worked out:", "What it rests on:", "What would settle it:", "Cautions:")


@dataclass(frozen=True)
class ClaimWords:
    """The text of a claim check in its parts: the headline and, as whole sentences, everything below it."""

    headline: str
    reason: str
    working: tuple[str, ...]
    rests_on: tuple[str, ...]
    settles: tuple[str, ...]
    cautions: tuple[str, ...]


def claim_text(claim: Claim) -> tuple[str, ...]:
    """A claim check as lines for a terminal: the answer first, then its parts, each indented under a short heading.

    Nothing is computed here but rounding, and the level with a rise on top: the words cannot disagree with the claim.

    Parameters
    ----------
    claim : Claim
        The frozen result of a claim check.

    Returns
    -------
    tuple of str
        The headline and why; then, each after an empty line and a heading, the working, what it rests on, what would settle it, the
        cautions.

    Examples
    --------
    See `tests/publish/test_claim_words.py`, one exact text for each kind.
    """
    words = claim_words(claim)
    lines = [words.headline, words.reason]
    for heading, sentences in zip(HEADINGS, (words.working, words.rests_on, words.settles, words.cautions), strict=True):
        if sentences:
            lines += ["", heading, *(f"  {sentence}" for sentence in sentences)]
    return tuple(lines)


def claim_words(claim: Claim) -> ClaimWords:
    """The text in its parts, for pages that set them apart."""
    return ClaimWords(headline_words(claim), reason_words(claim), tuple(map(_step_words, claim.steps)),
                      tuple(map(_fact_words, claim.assumptions)), (*_settling_words(claim), SCOPE_WORDS),
                      _caution_words(claim))


def headline_words(claim: Claim) -> str:
    """What is claimed, what it comes to, what the tank does meanwhile, how far the meter is off, and the verdict."""
    makers = {"oxygen": _oxygen_headline, "carbon dioxide": _carbon_dioxide_headline, "nutrient": _nutrient_headline,
              "light": _light_headline}
    text, effect = makers[claim.kind](claim)
    return f"{text} {capital(_VERDICT_WORDS[claim.verdict].format(effect))}"


def reason_words(claim: Claim) -> str:
    """Which of the two tests decided: the meter, or what the tank does by itself."""
    effect, seen = span_words(claim.low, claim.high, claim.unit), claim.smallest_seen
    if seen is None:
        return "The readings are so coarse here that no rise could be told from them."
    count = next((count for count in (2, 3, 4) if rounded(seen, count) not in (rounded(claim.low, count), rounded(claim.high, count))), 5)
    limit = with_unit(rounded(seen, count), claim.unit)
    meter = f"Two single readings can tell a change from {limit} up ({SEEN_FROM} × the spread of a reading)"
    if claim.high <= seen:
        return f"{meter}; {effect} is below that."
    if claim.low > seen:
        meter += f"; {effect} is above that"
    else:
        meter += f"; {effect} reaches over it only in part"
    return f"{meter}. {_share_reason(claim)}" if claim.share_high is not None else f"{meter}."


def _share_reason(claim: Claim) -> str:
    low, high, small = claim.share_low or 0.0, claim.share_high or 0.0, _times_words(SMALL_SHARE)
    share = " to ".join(dict.fromkeys(rounded(100 * share) for share in (low, high)))
    told = f"The effect is {with_unit(share, '%')} of the most that {_rival_words(claim)} may do"
    if high < SMALL_SHARE:
        return f"{told}: below {small}, the tank by itself can make or hide it."
    if low >= SMALL_SHARE:
        return f"{told}: large enough not to be mistaken for it."
    return f"{told}: below {small}, the tank by itself can make or hide it; above, it cannot."


def span_words(low: float, high: float, unit: str) -> str:
    """A range with two figures at each end, or one number with three where both ends are the same.

    >>> span_words(0.64, 4.796, "mg/L"), span_words(10.0, 10.0, "mg/L"), span_words(0.3, 0.9, "")
    ('0.64 to 4.8\\xa0mg/L', '10\\xa0mg/L', '0.3 to 0.9')
    """
    if math.isclose(low, high, rel_tol=1e-9, abs_tol=1e-12):
        return with_unit(rounded(high, 3), unit)
    first, second = rounded(low), rounded(high)
    return with_unit(second if first == second else f"{first} to {second}", unit)


def rounded(value: float, count: int = 2) -> str:
    """A number with so many figures and no zeros that say nothing.

    >>> rounded(453.0), rounded(0.228), rounded(2.0), rounded(0.0)
    ('450', '0.23', '2', '0')
    """
    return trimmed(figures(float(f"{value:.{count}g}"), count)) if value else "0"


# headlines -----------------------------------------------------------------------------------------------------------


def _oxygen_headline(claim: Claim) -> tuple[str, str]:
    current, made = claim.fact("current_ma"), claim.step("oxygen made")
    text = (f"{_article(current.high)} {_told(current)} device adds at most {with_unit(rounded(made.high, 3), 'mg')} of oxygen an hour. "
            f"With {_surface_words(claim.fact('surface'))} in {_told(claim.fact('volume_l'))} that lifts the oxygen by "
            f"{span_words(claim.low, claim.high, claim.unit)}; {_swing_words(claim)}the meter is off by {_error_words(claim)}.")
    return text, "its effect on oxygen"


def _carbon_dioxide_headline(claim: Claim) -> tuple[str, str]:
    surface, volume = _surface_words(claim.fact("surface")), _told(claim.fact("volume_l"))
    rise, lost = span_words(claim.low, claim.high, claim.unit), claim.step("what the surface loses of it")
    if claim.assumptions[0].key == "said_rise_mg_l":
        text = (f"{rise} more carbon dioxide is claimed. With {surface} in {volume} it takes {span_words(lost.low, lost.high, lost.unit)} "
                "to keep it up; ")
    else:
        text = f"{_told(claim.assumptions[0], 'mg')} of carbon dioxide an hour lift it by {rise} with {surface} in {volume}; "
    level = claim.step("carbon dioxide without it")
    read = span_words(level.low, level.low + claim.high, level.unit)
    text += f"{_swing_words(claim)}a reading from pH and hardness at {read} is off by {_error_words(claim)}."
    return text, "such a rise in carbon dioxide"


def _nutrient_headline(claim: Claim) -> tuple[str, str]:
    said, level = claim.assumptions[0], claim.fact("level_mg_l")
    if said.key == "times":
        text = (f"{_times_words(said.high).capitalize()} the {claim.quantity} of {_told(level)} is "
                f"{span_words(claim.low, claim.high, claim.unit)} more; ")
    else:
        weeks, volume = _told(claim.fact("weeks")), _told(claim.fact("volume_l"))
        text = (f"{_told(said)} of {claim.quantity} a week {'are' if said.high != 1 else 'is'} "
                f"{span_words(claim.low, claim.high, claim.unit)} more in {volume} after {weeks} {'week' if weeks == '1' else 'weeks'}; ")
    rival = claim.rival
    if rival.high > 0:
        text += f"your plants take up {span_words(rival.low, rival.high, rival.unit)} in a week, and "
    return f"{text}the test is off by {_error_words(claim)}.", f"this rise in {claim.quantity}"


def _light_headline(claim: Claim) -> tuple[str, str]:
    share = claim.step("rise as a share of the light").low
    meter, rival = claim.fact("meter"), claim.rival
    text = (f"{span_words(claim.low, claim.high, claim.unit)} more light at the bed is claimed, {with_unit(rounded(100 * share), '%')} of "
            f"what is there; lamps, places and age alone make {span_words(rival.low, rival.high, rival.unit)} between two tanks, and the "
            f"{_METER_WORDS.get(meter.word, 'meter')} is off by {_error_words(claim)}.")
    return text, "this rise in light"


def _swing_words(claim: Claim) -> str:
    """What the plants do in a day, up to the word before the meter; empty where there are none."""
    rival = claim.rival
    return f"your plants alone swing it by {span_words(rival.low, rival.high, rival.unit)} a day, and " if rival.high > 0 else ""


def _surface_words(fact: Fact) -> str:
    return _SURFACE_WORDS.get(fact.word) or f"a gas exchange of {_told(fact)} at the surface"


def _error_words(claim: Claim) -> str:
    return with_unit(rounded(claim.meter_error), claim.unit)


def _rival_words(claim: Claim) -> str:
    return "lamps, places and age together" if claim.kind == "light" else "your plants"


# lines ---------------------------------------------------------------------------------------------------------------


def _step_words(step: Step) -> str:
    return f"{capital(step.label)}: {step.formula} = {span_words(step.low, step.high, step.unit)}."


def _fact_words(fact: Fact) -> str:
    told = _told(fact)
    if fact.word:
        told = f"{fact.word.replace('_', ' ')}, taken as {told}"
    return f"{capital(fact.label)}: {told} ({fact.mark})."


def _settling_words(claim: Claim) -> tuple[str, ...]:
    """From which size on it could be measured here, which meter would see it, and how to try it."""
    needs = {need.label: with_unit(rounded(need.high), need.unit) for need in claim.needs}
    said = []
    for thing, rest in _SIZES[claim.kind]:
        planted, bare = needs.get(f"{thing} in this tank"), needs.get(f"{thing} with no plants")
        if planted is not None:
            why = _livelier_words(claim) if thing == "weekly gain" else ""
            said.append(rest.format(planted, why + (f"; with no plants {bare} would do" if bare not in (None, planted) else "")))
    meter = needs.get("meter")
    if meter is not None and (claim.smallest_seen is None or claim.low <= claim.smallest_seen):
        said.append(f"A meter with a spread of {meter} or less would tell the least of it.")
    return (*said, *_TRIALS[claim.kind])


def _livelier_words(claim: Claim) -> str:
    """Why reaching a rise takes more than keeping it: what livelier plants may take of what is added; empty where there are no plants."""
    more = next((step for step in claim.steps if step.label == LIVELIER), None)
    return "" if more is None else f", because livelier plants may take up {with_unit(rounded(more.high), more.unit)} of that"


def _caution_words(claim: Claim) -> tuple[str, ...]:
    """What spoils the reading, then the cautions about the work, with the last word where there are any."""
    said = tuple(f"{CAUTIONS[key].title}: {CAUTIONS[key].text}" for key in claim.cautions)
    return (*(_REMARKS[key] for key in claim.remarks), *said, *((LAST_WORD,) if said else ()))


_WHEREVER = "could be measured in this tank, wherever in these ranges the truth lies{}."
_SIZES = {
    "oxygen": (("current", f"From about {{}} on it {_WHEREVER}"),),
    "carbon dioxide": (("rise", f"A rise from about {{}} on {_WHEREVER}"), ("source", "It takes about {} of carbon dioxide to hold it{}.")),
    "nutrient": (("rise", f"A rise from about {{}} on {_WHEREVER}"), ("weekly gain", "It takes about {} added each week to reach it{}.")),
    "light": (("rise", f"A rise from about {{}} on {_WHEREVER}"),),
}
_TRIALS = {
    "oxygen": (
        "To try the device itself: run it in a bare tank of the same water with the same surface and no light, log the oxygen, and switch "
        "it on and off by turns, each for three times the time to get 63 % of the way.",
        "A still surface lets it lift the oxygen more, but takes less oxygen from the air at night: no way to keep animals.",
    ),
    "carbon dioxide": (
        "Read all tanks in one sitting before lights on, while plants have not yet taken any, with one pH probe and one hardness test.",
    ),
    "nutrient": (
        "Read all tanks on the same day before the water change, each twice; a photometer or a laboratory reads finer than a card.",
    ),
    "light": (
        "Read both tanks with one meter at the same marked places, swap the lamps, and read again: what moves with the lamp is the lamp.",
    ),
}


def _told(fact: Fact, unit: str | None = None) -> str:
    return span_words(fact.low, fact.high, fact.unit if unit is None else unit)


def _times_words(times: float) -> str:
    words = {0.5: "half", 2.0: "twice", 3.0: "three times"}
    return words.get(times, f"{plain_number(times)} times")


def _article(value: float) -> str:
    """`An` before a number that is spoken with a vowel: 8, 11, 18, 80 and so on."""
    spoken = rounded(value, 3).partition(".")[0]
    return "An" if spoken in ("11", "18") or spoken.startswith("8") else "A"
