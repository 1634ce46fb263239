"""The way from a plan to the first day, one command after the other, and which of them comes next for a folder."""

import shlex
from pathlib import Path

from fairtank.errors import FairtankError
from fairtank.records.folder import read_folder
from fairtank.records.folder.seal_changes import changes_between
from fairtank.records.folder.seal_parts import parts_of
from fairtank.records.next_steps import steps_left
from fairtank.records.services.sealing import data_of

NOT_DRAWN = ("trial.toml says drawn = false: the arms are sealed as they stand there. A draw now needs a --reason, and the finding will "
             "tell it.")
SEAL_AGAIN = "The plan is sealed as it was before: seal it again, with --reason and why."


def next_told(root: Path, after: str) -> list[str]:
    """What comes after a command, as lines to print; empty once something is recorded, or where the folder cannot be read.

    Parameters
    ----------
    root : Path
        The folder as it was typed.
    after : str
        The command that was just done.

    Returns
    -------
    list of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    try:
        folder = read_folder(root)
    except FairtankError:
        return []
    seal = folder.seal.last if folder.seal is not None else None
    is_stale = seal is not None and bool(changes_between(seal.plan, parts_of(folder.plan), seal.at))
    if is_stale and after != "seal":
        return [SEAL_AGAIN]
    if any(data_of(folder)[:2]):
        return []
    told = [NOT_DRAWN] if after == "seal" and not folder.plan.drawn else []
    coming = steps_left(after, is_drawn=folder.plan.drawn, is_built=bool(folder.build) or folder.setup is None,
                        has_cards=bool(folder.cards), is_sealed=folder.seal is not None)
    return [*told, *(f"Next: fairtank {name} {shlex.quote(str(root))}  ({words})" for name, words in coming[:1])]
