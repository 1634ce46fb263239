"""What is told about interests and gifts: written into the plan, where it may be put right at any time."""

from fairtank.errors import DesignError, InputError
from fairtank.records.folder.plan_edit import text_with
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.models import Trial
from fairtank.records.services.trail import By
from fairtank.records.services.working import changing
from fairtank.records.writing import text_write

LONGEST = 400


def disclosure_store(*, trial: Trial, by: By, text: str) -> None:
    """Write down who gave or sold anything, or that nobody did.

    Parameters
    ----------
    trial : Trial
    by : By
    text : str
        Line ends become blanks.

    Raises
    ------
    InputError
        If it is empty, too long, or cannot be shown.
    DesignError
        If the plan is written in a way in which a single value cannot be put in.

    References
    ----------
    common_practice (keys from sources.py).
    """
    plain = " ".join(text.split())
    if not plain or len(plain) > LONGEST or not plain.isprintable():
        what = "empty" if not plain else f"{len(plain)} characters long" if plain.isprintable() else "with a character that cannot be shown"
        hint = "Where nobody gave anything, say just that." if not plain else ""
        raise InputError("What is told about interests and gifts", what, f"one to {LONGEST} characters", hint)
    with changing(trial=trial, by=by, verb="plan", said="Told about interests and gifts.") as root:
        place = root / PLAN_FILE
        edited = text_with(place.read_text(encoding="utf-8-sig"), {}, {}, {"disclosure": plain})
        if edited is None:
            raise DesignError("The plan is written in a way in which this cannot be put in by itself. Open the plan as a text and set "
                              "disclosure under [trial].")
        text_write(place, edited)
