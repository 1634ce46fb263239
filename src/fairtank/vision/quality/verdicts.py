"""Whether a photo can be trusted as a measurement: what is wrong with it and what to do, in whole sentences.

What rests on a comparison place by place with the reference photo makes a photo `not usable` only in mode `registered`, where the frame
was found by what the photo shows. In mode `fixed` a keeper vouches for the frame: there it makes a photo doubtful at most, and where
hardly anything of the reference photo is seen again, the two are not compared at all. In mode `by_hand` nothing is compared so.
"""

from dataclasses import dataclass

from fairtank.trial import QUALITIES
from fairtank.vision.quality.evidence import Evidence

USABLE, DOUBTFUL, NOT_USABLE = QUALITIES
# Steepness of the glass edges relative to the unit's reference photo, below which a photo is doubtful, or not usable.
SHARPNESS_DOUBTFUL, SHARPNESS_LOWEST = 0.6, 0.42
CLIPPED_DOUBTFUL, CLIPPED_HIGHEST = 0.05, 0.2
# Light of the frame's lightest tenth relative to the reference photo's, in linear light. (The median would fall as plants grow.)
# At half the light a quarter to almost half of the algae were missed on rendered photos, while plants kept their cover.
LIGHT_DOUBTFUL, LIGHT_LOWEST = (0.6, 1.7), (0.25, 4.0)
# The same as the camera stored it where a photo card has brought the colours back: only noise and what is burnt out remain.
STORED_DOUBTFUL, STORED_LOWEST = (0.3, 3.0), (0.12, 8.0)
# What is burnt out comes from the exposure when what is around the frame is this much lighter, too, and not from something mirrored.
EXPOSED_MORE = 1.4
# The lamp is off when the frame lost this much more light than what is around it.
LAMP_OFF = 0.35
VEILED_DOUBTFUL, VEILED_HIGHEST = 0.016, 0.05
HIDDEN_DOUBTFUL, HIDDEN_HIGHEST = 0.07, 0.12
HIDDEN_WHOLE = 0.8  # and in a frame that a keeper vouches for, where ground may be smoother in one photo than in another
HIDDEN_MOST = 0.3  # from here on something stands before the tank, whatever else seems to be wrong
FOREIGN_DOUBTFUL, FOREIGN_HIGHEST = 0.04, 0.08
# Share of the reference's strong textures, leaves apart, seen again in place, below which it may be another tank or this one laid out
# anew, and below which it is; and the share that is seen again, but moved alike, from which on it is the same tank from another place.
# On rendered tanks growth, trims and a corner planted anew left 0.6 or more, other tanks 0.26 or less.
KEPT_DOUBTFUL, KEPT_LOWEST, SHIFTED_LOWEST = 0.3, 0.2, 0.25
MOVED_DOUBTFUL_CM, SHIFT_DOUBTFUL_CM = 5.0, 0.4
LINE_LOWEST, LINE_SHALLOW = 0.13, 0.15
RESIDUAL_DOUBTFUL_DELTA_E = 4.0
UNSURE_HIGHEST = 0.25


@dataclass(frozen=True)
class Verdict:
    """One thing that is wrong with a photo. key: its name. severity: 1 doubtful, 2 not usable. sentence: what is wrong and what to do."""

    key: str
    severity: int
    sentence: str


def verdicts_of(evidence: Evidence, unsure_fraction: float | None = None) -> tuple[Verdict, ...]:
    """All that is wrong with a photo, the gravest first.

    Parameters
    ----------
    evidence : Evidence
        What is known about the photo, beside its unit's reference photo.
    unsure_fraction : float or None
        Share of counted px whose class was a close call. [0 to 1]

    Returns
    -------
    tuple of Verdict
        Empty for a photo that is simply usable.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> [verdict.key for verdict in verdicts_of(Evidence("registered", sharpness=0.3, clipped_fraction=0.3))]
    ['blurred', 'over_exposed']
    """
    if evidence.failure:
        return (*_other_card(evidence), Verdict("not_registered", 2, evidence.failure))
    found = [
        *_place(evidence), *_scene(evidence), *_sharpness(evidence), *_light(evidence), *_glass(evidence),
        *_colour(evidence, unsure_fraction),
    ]  # fmt: skip
    return tuple(sorted(found, key=lambda verdict: -verdict.severity))


def quality_of(verdicts: tuple[Verdict, ...]) -> str:
    """The photo's quality: that of its gravest verdict.

    Parameters
    ----------
    verdicts : tuple of Verdict

    Returns
    -------
    str
        One of `trial.QUALITIES`.

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> quality_of(()), quality_of((Verdict("glare", 1, "A lamp is mirrored in the glass."),))
    ('usable', 'doubtful')
    """
    return QUALITIES[max((verdict.severity for verdict in verdicts), default=0)]


def _place(evidence: Evidence) -> list[Verdict]:
    found = []
    edges, residual = evidence.edges_found, evidence.residual_px
    if edges is not None and residual is not None and (edges < 3 or residual > 1.0):
        few = f"Only {edges} of the 4 glass edges were found again"
        what = f"{few if edges < 4 else 'The glass edges were found only roughly'}, so the frame is less exact."
        found.append(Verdict("edges_unsure", 1, f"{what} Keep all four edges of the glass in view and free."))
    if evidence.moved_cm is not None and evidence.moved_cm > MOVED_DOUBTFUL_CM:
        what = f"The camera stood {evidence.moved_cm:.0f} cm from its place, so plants in the back are seen shifted against the glass."
        found.append(Verdict("camera_moved", 1, f"{what} Mark the camera's place with tape and photograph from there."))
    return found


def _scene(evidence: Evidence) -> list[Verdict]:
    """Another tank, this one laid out anew, or this one from another place."""
    if other := _other_card(evidence):
        return other
    kept, is_registered = evidence.kept_fraction, evidence.mode == "registered"
    if kept is None or not is_another_scene(evidence) or is_dark(evidence):
        return []
    if is_registered and (evidence.hidden_fraction or 0.0) > HIDDEN_MOST:
        return []  # something stands before it
    if (evidence.shifted_fraction or 0.0) >= SHIFTED_LOWEST:
        shift_cm = abs(evidence.shift_cm or 0.0)
        if shift_cm < SHIFT_DOUBTFUL_CM or (evidence.moved_cm or 0.0) > MOVED_DOUBTFUL_CM:
            return []  # too little, or told already
        what = f"What stands behind the glass is seen {shift_cm:.1f} cm shifted against it: the camera stood elsewhere."
        return [Verdict("camera_moved", 1, f"{what} Mark the camera's place with tape and photograph from there.")]
    seen = f"only {100 * kept:.0f} %" if kept >= 0.005 else "nothing"
    what = f"Of the stones, wood and soil in the reference photo {seen} is seen again."
    if evidence.card_expected is not None and evidence.card_read == evidence.card_expected:
        what = f"{what} The card is the right one, so the tank was laid out anew or turned over, or its view is covered."
        return [Verdict("laid_out_anew", 1, f"{what} {_NEW_ROW}")]
    what = f"{what} It may be another tank, or this one laid out anew; a photo card would tell which."
    remedy = f"If it is another tank, correct its unit in photos.csv. If this one was laid out anew: {_NEW_ROW[0].lower()}{_NEW_ROW[1:]}"
    if not is_registered:
        remedy = f"{remedy} If each photo shows another place, give each its own row in frames.csv, with mode by_hand."
    return [Verdict("wrong_tank", 2 if is_registered and kept < KEPT_LOWEST else 1, f"{what} {remedy}")]


_NEW_ROW = "Add a row to frames.csv with this photo as reference photo and its own corners; it holds from then on."


def is_another_scene(evidence: Evidence) -> bool:
    """Whether so little of the reference photo's textures is seen again in place that the two cannot be compared place by place.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    bool

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> is_another_scene(Evidence("fixed", kept_fraction=0.05))
    True
    """
    return evidence.kept_fraction is not None and evidence.kept_fraction < KEPT_DOUBTFUL


def _is_only_vouched_for(evidence: Evidence) -> bool:
    """Whether the photo may show any place at all, so that what it shows of light and edges need not be its reference photo's."""
    return evidence.mode == "by_hand" or (evidence.mode == "fixed" and is_another_scene(evidence))


def _other_card(evidence: Evidence) -> list[Verdict]:
    expected, read = evidence.card_expected, evidence.card_read
    if expected is None or read is None or expected == read:
        return []
    what = f"The card in the photo has number {read}, this tank's card is number {expected}."
    return [Verdict("wrong_tank", 2, f"{what} Put the right card up, or give the photo to its own tank in photos.csv.")]


def is_dark(evidence: Evidence) -> bool:
    """Whether so little light is left that what the frame shows cannot be compared.

    Parameters
    ----------
    evidence : Evidence

    Returns
    -------
    bool

    References
    ----------
    common_practice (keys from sources.py).

    Examples
    --------
    >>> is_dark(Evidence("registered", light_ratio=0.05))
    True
    """
    return evidence.light_ratio is not None and evidence.light_ratio < LIGHT_LOWEST[0]


def _sharpness(evidence: Evidence) -> list[Verdict]:
    sharp = evidence.sharpness
    if sharp is None or sharp >= SHARPNESS_DOUBTFUL:
        return []
    what = f"The photo is blurred: the edges of the glass are {100 * sharp:.0f} % as sharp as in the reference photo."
    remedy = "Rest the phone on something, tap on the front glass to focus, and take it again."
    is_firm = evidence.mode != "fixed" or not is_another_scene(evidence)
    return [Verdict("blurred", 2 if sharp < SHARPNESS_LOWEST and is_firm else 1, f"{what} {remedy}")]


def _light(evidence: Evidence) -> list[Verdict]:
    found = []
    stored, around, card = evidence.light_ratio, evidence.surround_ratio, evidence.card_light_ratio
    burnt = evidence.clipped_excess if evidence.clipped_excess is not None else evidence.clipped_fraction or 0.0
    if burnt > CLIPPED_DOUBTFUL:
        what = f"{100 * (evidence.clipped_fraction or burnt):.0f} % of the frame is burnt out to pure white or full colour (over-exposed)."
        remedy = "Tap on the lightest place of the tank before the photo, or set the exposure lower."
        found.append(Verdict("over_exposed", 2 if burnt > CLIPPED_HIGHEST else 1, f"{what} {remedy}"))
    if stored is None or (evidence.hidden_fraction or 0.0) > max(HIDDEN_MOST, 1.5 * burnt):
        return found  # what stands before the tank is not its light
    if around is not None and stored < LAMP_OFF * around and stored < LIGHT_DOUBTFUL[0]:
        what = f"The photo is much darker than the reference photo: {stored:.2g} times its light, while the room is as light as ever."
        severity = 1 if _is_only_vouched_for(evidence) else 2
        return [*found, Verdict("lights_off", severity, f"{what} The lamp is off or dimmed: photograph when it is on in full.")]
    doubtful, lowest = (STORED_DOUBTFUL, STORED_LOWEST) if card else (LIGHT_DOUBTFUL, LIGHT_LOWEST)
    if not doubtful[0] <= stored <= doubtful[1] and not (stored > 1 and found):
        dark = stored < 1
        what = f"The photo is much {'darker' if dark else 'brighter'} than the reference photo: {stored:.2g} times its light."
        remedy = "Is the lamp on in full? Set" if dark else "Set"
        severity = 1 if lowest[0] <= stored <= lowest[1] or _is_only_vouched_for(evidence) else 2
        found.append(Verdict("under_exposed" if dark else "over_exposed", severity, f"{what} {remedy} exposure as for the other photos."))
    elif card and not LIGHT_DOUBTFUL[0] <= stored / card <= LIGHT_DOUBTFUL[1]:
        what = f"Beside the card, the tank has {stored / card:.2g} times the light of the reference photo."
        found.append(Verdict("other_light", 1, f"{what} Photograph at the same point of the lamp's programme."))
    return found


def _glass(evidence: Evidence) -> list[Verdict]:
    """The water line, and what lies between the lens and the tank."""
    is_burnt, is_registered = (evidence.clipped_excess or 0.0) > CLIPPED_DOUBTFUL, evidence.mode == "registered"
    most = HIDDEN_MOST if is_registered else HIDDEN_WHOLE
    if (evidence.hidden_fraction or 0.0) > most and not is_burnt and (is_registered or evidence.kept_fraction is None):
        return [_obstructed(evidence.hidden_fraction or 0.0, 2 if is_registered else 1)]
    if is_another_scene(evidence) or is_dark(evidence) or (evidence.kept_fraction is None and not is_registered):
        return []  # another tank, or this one from another place, or nothing tells which: nothing can be compared in place
    hardest = 2 if is_registered and evidence.kept_fraction is not None else 1
    is_exposed_more = is_burnt and (evidence.surround_ratio or evidence.light_ratio or 1.0) > EXPOSED_MORE
    hidden, foreign, veiled = evidence.hidden_fraction or 0.0, evidence.foreign_fraction or 0.0, evidence.veiled_fraction or 0.0
    line, place = evidence.line_strength or 0.0, evidence.line_at or 0.0
    if line > LINE_LOWEST and hidden < 1.2 * HIDDEN_HIGHEST:
        where = f"A new line runs across the whole tank, {100 * place:.0f} % of its height below its top"
        what = f"{where}: most likely the water stands lower than in the reference photo."
        severity = 1 if place < LINE_SHALLOW else hardest
        return [Verdict("water_lowered", severity, f"{what} Fill it up, let it settle, and take the photo again.")]
    if not is_burnt and (hidden > HIDDEN_DOUBTFUL or foreign > FOREIGN_DOUBTFUL):
        return [_obstructed(max(hidden, foreign), hardest if hidden > HIDDEN_HIGHEST or foreign > FOREIGN_HIGHEST else 1)]
    if veiled > VEILED_DOUBTFUL and not is_exposed_more:
        what = f"Something bright is mirrored in the glass, over {100 * veiled:.0f} % of the frame."
        remedy = "Darken the room or shade the glass, and take the photo again."
        return [Verdict("glare", hardest if veiled > VEILED_HIGHEST else 1, f"{what} {remedy}")]
    return []


def _obstructed(share: float, severity: int) -> Verdict:
    what = f"About {100 * share:.0f} % of the frame is hidden (a hand, fogged glass, a closed lid)."
    return Verdict("obstructed", severity, f"{what} Clear the view, wipe the glass dry, and take the photo again.")


def _colour(evidence: Evidence, unsure_fraction: float | None) -> list[Verdict]:
    found = []
    residual = evidence.colour_residual
    if residual is not None and residual > RESIDUAL_DOUBTFUL_DELTA_E:
        what = f"Colours of this photo can be compared only roughly: the card's colours come out {residual:.1f} steps of CIEDE2000 off."
        found.append(Verdict("colour_unsure", 1, f"{what} Light the card like the tank, without shade or shine on it, and use no filter."))
    if unsure_fraction is not None and unsure_fraction > UNSURE_HIGHEST:
        share = f"{100 * unsure_fraction:.0f} % of the frame"
        found.append(Verdict("strokes_missing", 1, f"{share} has colours that the strokes leave open: paint strokes on this photo."))
    return found
