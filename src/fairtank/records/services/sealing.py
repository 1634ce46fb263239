"""Seal a plan before the start: what will be judged, fixed with a digest and a short code; later changes need a reason and are kept."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from fairtank import __version__
from fairtank.errors import DesignError, JobError
from fairtank.inference.question import title_unit_scale
from fairtank.publish.seal_words import change_words
from fairtank.records.folder import read_folder
from fairtank.records.folder.digest import digest_of_files
from fairtank.records.folder.seal import SEAL_FILE, sealing_of, text_with
from fairtank.records.folder.seal_changes import SealChange, changes_between
from fairtank.records.folder.seal_parts import parts_of
from fairtank.records.writing import text_write
from fairtank.seal import Sealing
from fairtank.trial import TrialFolder

DATA_FILES = ("series.csv", "readings.csv", "scores.csv", "pairs.csv", "photos.csv")


@dataclass(frozen=True)
class SealedTrial:
    """What sealing a folder did.

    done: `sealed`, `unchanged` or `amended`. sealing: the entry that stands now. first: the first one. changes: what the amendment
    changed. titles: the measures' titles by key. place: seal.json.
    """

    done: str
    sealing: Sealing
    first: Sealing
    changes: tuple[SealChange, ...]
    titles: dict[str, str]
    place: Path


def trial_seal(*, root: Path, reason: str | None = None, now: Callable[[], datetime] = lambda: datetime.now(UTC)) -> SealedTrial:
    """Seal a folder's plan; a plan that was changed since is sealed again only with a reason, and what was sealed before is kept.

    Parameters
    ----------
    root : Path
        The trial folder.
    reason : str or None
        Why a sealed plan was changed.
    now : function
        The clock.

    Returns
    -------
    SealedTrial

    Raises
    ------
    FolderError
        If the folder cannot be read, or its seal was tampered with.
    DesignError
        If the plan was changed after it was sealed and no reason is given.
    JobError
        If seal.json cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    folder = read_folder(root)
    parts, titles = parts_of(folder.plan), {one.key: title_unit_scale(one)[0] for one in folder.plan.measures}
    seal, place = folder.seal, root / SEAL_FILE
    changes = () if seal is None else changes_between(seal.last.plan, parts, seal.last.at)
    if seal is not None and not changes:
        return SealedTrial("unchanged", seal.last, seal.entries[0], (), titles, place)
    why = " ".join((reason or "").split())
    if seal is not None and not why:
        told = " ".join(change_words(one, titles) for one in changes)
        raise DesignError(f"This plan is sealed, and it was changed since. {told} Put it back as it was, or seal it again with "
                          '--reason "why it was changed": the first seal stays, and the finding tells both.')
    rows, photos, data = data_of(folder)
    added = sealing_of(parts, at=now().replace(microsecond=0), rows=rows, photos=photos, data_digest=data,
                       reason="" if seal is None else why)
    try:
        text_write(place, text_with(seal, added))
    except OSError as error:
        raise JobError(f"{place} cannot be written: {error.strerror}. Nothing was sealed.") from error
    first = added if seal is None else seal.entries[0]
    return SealedTrial("sealed" if seal is None else "amended", added, first, changes, titles, place)


def data_of(folder: TrialFolder) -> tuple[int, int, str]:
    """How many values and photos a folder holds, and a digest over their files; empty where it holds none."""
    rows = sum(len(one.days) for one in folder.series) + len(folder.readings) + len(folder.scores) + len(folder.pairs)
    photos = {photo.path for photo in folder.photos}
    files = {path: digest for path, digest in folder.file_digests.items() if path in DATA_FILES or path in photos}
    return rows, len(photos), digest_of_files(files) if rows or photos else ""


def sealed_json(sealed: SealedTrial) -> str:
    """What sealing did as one JSON object."""
    one = sealed.sealing
    document = {
        "software": f"fairtank {__version__}", "done": sealed.done, "at": one.at.isoformat(), "code": one.code,
        "digest": f"sha256:{one.digest}",
        "first": {"at": sealed.first.at.isoformat(), "code": sealed.first.code, "digest": f"sha256:{sealed.first.digest}"},
        "data": {"values": one.rows, "photos": one.photos, "digest": one.data_digest or None}, "reason": one.reason or None,
        "changes": [change_words(change, sealed.titles) for change in sealed.changes], "file": str(sealed.place),
    }
    return json.dumps(document, ensure_ascii=False, indent=1, allow_nan=False) + "\n"
