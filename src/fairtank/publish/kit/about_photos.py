"""about-the-photos.txt: what became of the photos of a kit, for whoever opens it."""

from collections.abc import Sequence

from fairtank.publish.kit.facts import KitFile
from fairtank.publish.numbers import shown


def about_photos(changed: Sequence[str], photos: str, longest_px: int, files: Sequence[KitFile] = (), answered: Sequence[str] = ()) -> str:
    """about-the-photos.txt: what became of photos, by name.

    Parameters
    ----------
    changed : sequence of str
        Photos from which the place was removed.
    photos : str
        `full`, `reduced` or `none`.
    longest_px : int
        Longest side of a reduced photo.
    files : sequence of KitFile
        Of the kit, for photos that have another name.
    answered : sequence of str
        Measures for which people looked at photos that are left out.

    Returns
    -------
    str
        Empty where nothing became of any.

    References
    ----------
    common_practice (keys from sources.py).
    """
    told = []
    if photos == "reduced":
        told += [f"The photos of this kit are smaller than those that were measured: their longest side has at most {longest_px} px. They "
                 "were "
                 "saved anew, without the place where they were taken. Measured again they give other numbers; the values that were "
                 "measured "
                 "on the originals stand in series.csv, and by them the trial is judged. digests.csv names the digest of each original.",
                 ""]
    if photos == "none":
        told += ["The photos of this trial are left out of this kit. The values that were measured on them stand in series.csv, and by "
                 "them "
                 "the trial is judged. digests.csv names the digest of each photo, so that a photo that you are given can be recognised.",
                 ""]
    if answered:
        told += [f"For {', '.join(map(shown, answered))} people looked at the photos. Their scores and choices, as they gave them, stand "
                 "in as-measured/; each names its photo.", ""]
    renamed = [f"{shown(one.path)}, before: {shown(one.original_path)}" for one in files if one.original_path]
    if renamed:
        told += ["Saved anew they are JPEG pictures, and these have another name for it:", "", *renamed, ""]
    if changed:
        told += ["The place where they were taken was removed from these photos, and not one pixel was changed. As files they are others "
                 "now; digests.csv names the digest that each had before.", "", *changed, ""]
    return "\n".join(told)
