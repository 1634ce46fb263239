"""Like-tank spread gathered from finished trials, shown, and written into the spread.csv of a trial that may lean on it."""

import math
from collections.abc import Sequence
from dataclasses import asdict, astuple, dataclass, replace
from pathlib import Path

from fairtank import __version__
from fairtank.errors import InputError, JobError
from fairtank.inference.earlier.borrowing import SILENT_DESIGNS
from fairtank.inference.earlier.like_tanks import FEWEST_DF, FEWEST_GROUPS, Library, SpreadKind, library_of
from fairtank.records.exporters.json_text import json_text
from fairtank.records.folder import read_folder
from fairtank.records.folder.nouns import FIELDS, values_from_nouns
from fairtank.records.folder.writer import table_text
from fairtank.records.services.kits import LeftOutTrial, Watched, kits_judged, kits_under, unwatched
from fairtank.records.services.trials import SPREAD_FILE, JudgedTrial
from fairtank.records.writing import text_write
from fairtank.trial import SpreadEntry, TrialFolder


@dataclass(frozen=True)
class Merged:
    """What became of a trial's spread.csv.

    place: the file. entries: all that it holds now. added, replaced, unchanged, kept: entries that are new, that took the place of an
    older one of the same trial and kind, that stood there already, and those of other trials that were left as they are. removed: entries
    of the trial itself, or that a newer one made needless. left_out: gathered entries that were not written, with the reason. is_written:
    whether the file changed.
    """

    place: Path
    entries: tuple[SpreadEntry, ...]
    added: tuple[SpreadEntry, ...]
    replaced: tuple[SpreadEntry, ...]
    unchanged: tuple[SpreadEntry, ...]
    kept: tuple[SpreadEntry, ...]
    removed: tuple[SpreadEntry, ...]
    left_out: tuple[tuple[SpreadEntry, str], ...]
    is_written: bool


@dataclass(frozen=True, eq=False)
class GatheredSpread:
    """Like-tank spread of several trials.

    entries: the newest of each trial and kind, oldest trial first. libraries: one for each kind, what it holds and whether that is enough,
    of the entries or, where a spread.csv was asked for, of all that stands in it now.
    older: entries that a newer one of the same trial and kind replaced. left_out: folders without entries, with the reason. merged: what
    became of a spread.csv; None where none was asked for.
    """

    entries: tuple[SpreadEntry, ...]
    libraries: tuple[Library, ...]
    older: tuple[SpreadEntry, ...]
    left_out: tuple[LeftOutTrial, ...]
    merged: Merged | None = None


def spread_gather(*, roots: Sequence[Path], into: Path | None = None, workers: int | None = None,
                  watched: Watched = unwatched) -> GatheredSpread:
    """Judge all trials under some folders, gather what each tells of like tanks, and merge that into a trial's spread.csv.

    Parameters
    ----------
    roots : sequence of Path
        Trial folders, or folders that hold them at any depth.
    into : Path or None
        The trial folder whose spread.csv is written; it is not judged itself.
    workers : int or None
        Processes that measure photos.
    watched : function
        Called with a folder's name while its photos are measured.

    Returns
    -------
    GatheredSpread

    Raises
    ------
    InputError
        If there is no trial under the folders.
    FolderError
        If the trial folder that is to lean on the entries cannot be read.
    JobError
        If spread.csv cannot be written.

    References
    ----------
    smyth2004 (keys from sources.py).
    """
    target = None if into is None else read_folder(into)
    kits = [kit for kit in kits_under(roots) if into is None or kit.resolve() != into.resolve()]
    if not kits:
        raise InputError("what was searched", ", ".join(map(str, roots)), "folders with at least one finished trial in them",
                         "A finished trial is a folder with its trial.toml and its photos or values.")
    judged, left_out = kits_judged(kits, workers, watched)
    judged.sort(key=lambda one: one[1].folder.plan.start)
    left_out += [LeftOutTrial(name, silence_words(trial)) for name, trial in judged if not trial.entries]
    entries, older = newest([entry for _, trial in judged for entry in trial.entries])
    merged = None if target is None else entries_merge(target, entries)
    libraries = libraries_of(entries if merged is None else merged.entries)
    return GatheredSpread(tuple(entries), libraries, tuple(older), tuple(left_out), merged)


def libraries_of(entries: Sequence[SpreadEntry]) -> tuple[Library, ...]:
    """What the entries of each kind hold together."""
    kinds = dict.fromkeys(kind_of(entry) for entry in entries)
    return tuple(library_of([one for one in entries if kind_of(one) == kind], kind) for kind in kinds)


def kind_of(entry: SpreadEntry) -> SpreadKind:
    """What an entry is about."""
    return SpreadKind(entry.measure, entry.scale, entry.summary, entry.window_class, entry.tank_class)


def silence_words(trial: JudgedTrial) -> str:
    """Why a trial adds nothing, in a sentence."""
    plan = trial.folder.plan
    if not plan.title.strip():
        return "It has no title, by which its entries would be known."
    if plan.kind in SILENT_DESIGNS:
        return "Its design has too few tanks to show how far tanks treated alike end up apart."
    if all(finding.grade == "spoilt" for finding in trial.findings):
        return "It is spoilt or not over: nothing was judged."
    if all(finding.summary == "threshold" for finding in trial.findings):
        return "Its measures ask when a threshold is reached, which has no spread of that kind."
    return "It is not over yet, or no two of its tanks were treated alike and differ."


def newest(entries: Sequence[SpreadEntry]) -> tuple[list[SpreadEntry], list[SpreadEntry]]:
    """The last entry of each trial and kind, and those that it replaces."""
    last = {(entry.trial, kind_of(entry)): place for place, entry in enumerate(entries)}
    kept = [entry for place, entry in enumerate(entries) if last[entry.trial, kind_of(entry)] == place]
    older = [entry for place, entry in enumerate(entries) if last[entry.trial, kind_of(entry)] != place]
    return kept, [entry for entry in older if entry not in kept]


def entries_merge(target: TrialFolder, gathered: Sequence[SpreadEntry], *, writes: bool = True) -> Merged:
    """The gathered entries in the target's spread.csv: each in the place of its older one, else at the end; nothing of the trial itself.

    Without `writes` the file is left alone, and `is_written` says whether it would be changed.
    """
    own = target.plan.title.strip()
    left_out = tuple((entry, "it comes from this trial itself") for entry in gathered if entry.trial.strip() == own)
    new = {(entry.trial.strip(), kind_of(entry)): entry for entry in gathered if entry.trial.strip() != own}
    file = FIELDS["spread"].file
    cells = target.unknown_cells.get(file) or ({},) * len(target.spread)
    last = {(entry.trial.strip(), kind_of(entry)): place for place, entry in enumerate(target.spread)}
    rows: list[tuple[SpreadEntry, dict[str, str]]] = []
    replaced, unchanged, kept, removed = (list[SpreadEntry]() for _ in range(4))
    for number, (entry, extra) in enumerate(zip(target.spread, cells, strict=True)):
        key = entry.trial.strip(), kind_of(entry)
        if key[0] == own or (key in new and last[key] != number):
            removed.append(entry)
            continue
        newer = new.pop(key, None)
        if newer is None or _is_same(newer, entry):
            (kept if newer is None else unchanged).append(entry)
            rows.append((entry, extra))
        else:
            replaced.append(newer)
            rows.append((newer, extra))
    rows += [(entry, {}) for entry in new.values()]
    place, is_written = target.root / SPREAD_FILE, bool(new or replaced or removed)
    if is_written and writes:
        _write(place, rows)
    return Merged(place, tuple(entry for entry, _ in rows), tuple(new.values()), tuple(replaced), tuple(unchanged), tuple(kept),
                  tuple(removed), left_out, is_written)


def _is_same(one: SpreadEntry, other: SpreadEntry) -> bool:
    return astuple(replace(one, trial=one.trial.strip())) == astuple(replace(other, trial=other.trial.strip()))


def _write(place: Path, rows: Sequence[tuple[SpreadEntry, dict[str, str]]]) -> None:
    extra = [cells for _, cells in rows] if any(cells for _, cells in rows) else []
    text = table_text(FIELDS["spread"], values_from_nouns("spread", [entry for entry, _ in rows]), extra)
    try:
        text_write(place, text)
    except OSError as error:
        raise JobError(f"{place} cannot be written: {error.strerror}. It was left as it was.") from error


def spread_json(gathered: GatheredSpread) -> str:
    """Gathered like-tank spread as one JSON object."""
    merged = gathered.merged
    document = {
        "software": f"fairtank {__version__}", "needed": {"trials": FEWEST_GROUPS, "df": FEWEST_DF},
        "entries": [{**asdict(entry), "sd": math.sqrt(entry.variance)} for entry in gathered.entries],
        "kinds": [{**asdict(library.kind), "trials": [entry.trial for entry in library.groups], "df": library.total_df,
                   "is_enough": library.is_qualified, "shortfall": library.shortfall or None,
                   "left_out": [{"trial": one.entry.trial, "reason": one.reason} for one in library.left_out]}
                  for library in gathered.libraries],
        "older": [asdict(entry) for entry in gathered.older], "left_out": [asdict(one) for one in gathered.left_out],
        "merged": None if merged is None else {
            "file": str(merged.place), "is_written": merged.is_written,
            **{name: [asdict(entry) for entry in getattr(merged, name)] for name in ("added", "replaced", "unchanged", "kept", "removed")},
            "left_out": [{**asdict(entry), "reason": reason} for entry, reason in merged.left_out],
        },
    }
    return json_text(document)
