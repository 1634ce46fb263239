"""A plan before the draw: it says which units and arms there are, and not yet which unit receives which arm."""

import tomllib

import tomli_w


def with_arms(text: str) -> str:
    """trial.toml with arms in turn where none are given yet, so that it can be read before the draw.

    Parameters
    ----------
    text : str
        Of trial.toml.

    Returns
    -------
    str
        The text itself where nothing is open.

    References
    ----------
    common_practice (keys from sources.py).
    """
    try:
        document = tomllib.loads(text)
        units = document.get("unit", [])
        open_units = [unit for unit in units if not unit.get("arm") and not unit.get("first_arm")]
        arms = [arm["key"] for arm in document.get("arm", [])]
    except (ValueError, AttributeError, TypeError, KeyError, RecursionError):
        return text  # what is wrong is told by whoever reads it
    if not open_units or not arms:
        return text
    ordered = sorted(open_units, key=lambda unit: str(unit.get("pair") or unit.get("round") or ""))
    for place, unit in enumerate(ordered):
        unit["arm"] = arms[place % len(arms)]
    return tomli_w.dumps(document)


# what is drawn from --------------------------------------------------------------------------------------------------


def units_without_arm(text: str) -> frozenset[str]:
    """The units that the text gives no arm.

    Parameters
    ----------
    text : str
        Of trial.toml.

    Returns
    -------
    frozenset of str
        Keys; empty where the text cannot be read.

    References
    ----------
    common_practice (keys from sources.py).
    """
    try:
        units = tomllib.loads(text).get("unit", [])
        return frozenset(str(unit.get("key", "")) for unit in units if not unit.get("arm") and not unit.get("first_arm"))
    except (ValueError, AttributeError, TypeError, RecursionError):
        return frozenset()
