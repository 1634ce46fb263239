"""What the photos cannot tell though the plan asks for it, and colours that do not compare between photos: in sentences."""

from fairtank import registry
from fairtank.trial import PhotoQuality, TrialFolder
from fairtank.vision.quality.verdicts import NOT_USABLE


def comparable_cautions(folder: TrialFolder, qualities: tuple[PhotoQuality, ...]) -> tuple[str, ...]:
    """Sentences about measures that the plan asks of the photos: zones that are missing, and colours without a card or a patch.

    Parameters
    ----------
    folder : TrialFolder
    qualities : tuple of PhotoQuality
        Of its measured photos.

    Returns
    -------
    tuple of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    asked = {choice.key for choice in folder.plan.measures} - {series.measure for series in folder.series}
    # Painted things serve as well as drawn ones, and only the pictures tell which tanks they were painted in.
    painted = {"static"} if folder.labels and any(part.counts_as == "static" for part in folder.label_classes) else set()
    kinds = {zone.kind for zone in folder.zones} | painted
    by_unit = {photo.unit: painted | {zone.kind for zone in folder.zones if zone.unit == photo.unit} for photo in folder.photos}
    said = []
    entries = [entry for entry in registry.entries("measure") if entry.key in asked]
    for entry in entries:
        missing = [kind for kind in entry.needs_zones if kind not in kinds]
        if missing:
            said.append(f"{entry.key} could not be measured: zones.csv holds no zone of kind {' and none of kind '.join(missing)}.")
            continue
        without = [unit for unit, has in by_unit.items() if not has.issuperset(entry.needs_zones)]
        if without:
            said.append(f"{entry.key} could not be measured in {', '.join(sorted(without))}: zones.csv holds no zone of kind "
                        f"{' and '.join(entry.needs_zones)} there.")
    used = [quality for quality in qualities if quality.quality != NOT_USABLE]
    uncorrected = sum(quality.colour_basis == "none" for quality in used)
    if not uncorrected:
        return tuple(said)
    photos = "the photos" if uncorrected == len(used) else f"{uncorrected} of {len(used)} photos"
    for entry in entries:
        if entry.needs_colour:
            end = "has no value from them" if entry.key == "water_tint" else "is not corrected for exposure and white balance in them"
            said.append(f"Colour not comparable: neither a photo card nor a painted patch could be read in {photos}. {entry.title} {end}.")
    return tuple(said)
