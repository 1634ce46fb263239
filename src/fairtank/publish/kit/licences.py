"""Under which licence a kit goes out: the keeper's own choice, never one that is made for them."""

from dataclasses import dataclass

from fairtank.publish.kit.licence_words import RIGHTS_REMAIN, SHORT


@dataclass(frozen=True)
class Licence:
    """One choice. key: its identifier in the SPDX list, or `none`. name, address: of the licence. short: what it lets others do."""

    key: str
    name: str
    address: str
    short: str


_NAMES = {
    "CC-BY-4.0": ("Creative Commons Attribution 4.0 International", "https://creativecommons.org/licenses/by/4.0/"),
    "CC-BY-SA-4.0": ("Creative Commons Attribution-ShareAlike 4.0 International", "https://creativecommons.org/licenses/by-sa/4.0/"),
    "CC0-1.0": ("Creative Commons Zero 1.0 Universal", "https://creativecommons.org/publicdomain/zero/1.0/"),
    "none": (RIGHTS_REMAIN, ""),
}
LICENCES = {key: Licence(key, name, address, SHORT[key]) for key, (name, address) in _NAMES.items()}
OWN = "own"  # the folder's own statement was kept
SPDX_LINE = "SPDX-License-Identifier:"


def licence_text(key: str, title: str, keeper: str) -> str:
    """The statement that lies in the kit.

    Parameters
    ----------
    key : str
        Of LICENCES.
    title, keeper : str
        Of the trial; keeper may be empty.

    Returns
    -------
    str

    References
    ----------
    spdx (keys from sources.py).

    Examples
    --------
    >>> print(licence_text("CC0-1.0", "A dark break", "").splitlines()[0])
    SPDX-License-Identifier: CC0-1.0
    """
    one, who = LICENCES[key], keeper or "the keeper of this trial"
    head = f"{SPDX_LINE} {key if one.address else 'LicenseRef-all-rights-remain'}"
    terms = f"{one.name}: {one.address}" if one.address else f"{one.name}."
    return "\n".join([head, "", f"“{title}”: plan, tables, photos, strokes and results, by {who}.", "", terms, "", one.short, ""])


def licence_of_text(text: str) -> str:
    """The key of LICENCES that a statement names in its first line; `own` where it is somebody's own text.

    >>> licence_of_text("SPDX-License-Identifier: CC-BY-4.0"), licence_of_text("Please ask me.")
    ('CC-BY-4.0', 'own')
    """
    first = text.lstrip("\ufeff").partition("\n")[0].strip()
    named = first.removeprefix(SPDX_LINE).strip() if first.startswith(SPDX_LINE) else ""
    return "none" if named == "LicenseRef-all-rights-remain" else named if named in LICENCES else OWN
