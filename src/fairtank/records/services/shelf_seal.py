"""The seal of a trial on the shelf: the plan sealed, the data stamped, and what verifying finds."""

import os
import tempfile
from pathlib import Path

from fairtank.errors import InputError
from fairtank.records.folder.seal_looked import Looked
from fairtank.records.models import Trial
from fairtank.records.selectors.trial_state import papers_of
from fairtank.records.services.sealing import SealedTrial, trial_seal
from fairtank.records.services.trail import By
from fairtank.records.services.verifying import VerifiedTrial, trial_verify
from fairtank.records.services.working import changing, opened, place_of

LONGEST_KEY = 20_000
_LOOKED = "looked.json"


def plan_seal(*, trial: Trial, by: By, reason: str = "", with_data: bool = False, key: bytes | None = None) -> SealedTrial:
    """Seal a plan, or seal a changed one again; with_data: stamp all that was recorded too.

    Parameters
    ----------
    trial : Trial
    by : By
    reason : str
        Why a sealed plan, or stamped data, were changed.
    with_data : bool
    key : bytes, optional
        A private key to sign with: used once, from a file that only this program may read, and gone afterwards.

    Returns
    -------
    SealedTrial

    Raises
    ------
    DesignError
        If something that was sealed was changed and no reason is given.
    InputError
        If the key is none.

    References
    ----------
    rfc8785, rfc8032 (keys from sources.py).
    """
    if key is not None and len(key) > LONGEST_KEY:
        raise InputError("The key", f"{len(key)} bytes long", "a key file as `fairtank seal --make-key` makes it")
    papers, why = papers_of(trial), " ".join(reason.split())
    with tempfile.TemporaryDirectory(prefix="fairtank-key-") as place:
        file = None if key is None else _key_file(Path(place), key)
        if papers.seal is not None and not papers.changes_since_seal and not with_data:
            with opened(trial) as root:
                return trial_seal(root=root, reason=why or None, key_file=file)
        what = "Stamped the data" if with_data else "Sealed the plan" if papers.seal is None else "Sealed the plan again"
        with changing(trial=trial, by=by, verb="seal", said=f"{what}: {why}." if why else f"{what}.") as root:
            return trial_seal(root=root, reason=why or None, key_file=file, with_data=with_data)


def _key_file(place: Path, key: bytes) -> Path:
    file = place / "key.pem"
    with os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(key)
    return file


def seal_verified(trial: Trial, key: str = "") -> VerifiedTrial:
    """What a trial's seal, its signatures and its stamps show.

    Parameters
    ----------
    trial : Trial
        With a plan.
    key : str
        The code of the key that should have signed.

    Returns
    -------
    VerifiedTrial

    References
    ----------
    rfc8785, rfc8032 (keys from sources.py).
    """
    with opened(trial) as root:
        return trial_verify(root=root, key=key, looked=Looked(place_of(trial) / _LOOKED))
