"""Under which licence a kit goes out: the keeper's own choice, never one that is made for them."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Licence:
    """One choice. key: its identifier in the SPDX list, or `none`. name, address: of the licence. short: what it lets others do."""

    key: str
    name: str
    address: str
    short: str


LICENCES = {one.key: one for one in (
    Licence("CC-BY-4.0", "Creative Commons Attribution 4.0 International", "https://creativecommons.org/licenses/by/4.0/",
            "Anybody may copy, change and publish it, also for money, as long as they name the keeper and say what they changed."),
    Licence("CC-BY-SA-4.0", "Creative Commons Attribution-ShareAlike 4.0 International", "https://creativecommons.org/licenses/by-sa/4.0/",
            "Anybody may copy, change and publish it, also for money, as long as they name the keeper, say what they changed, and give "
            "what "
            "they made of it to others on the same terms."),
    Licence("CC0-1.0", "Creative Commons Zero 1.0 Universal", "https://creativecommons.org/publicdomain/zero/1.0/",
            "Anybody may do with it whatever they like, and need not name anybody."),
    Licence("none", "All rights remain with the keeper", "",
            "You may look at it and check it. Ask the keeper before you publish photos, tables or texts of it."),
)}  # fmt: skip
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
