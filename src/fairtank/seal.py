"""The nouns of a seal: the plan as it was fixed, its amendments, the stamps over the data, and what became of all of them since."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

Parts = dict[str, dict[str, dict[str, Any]]]


@dataclass(frozen=True)
class Sealing:
    """The plan as it was fixed at one time.

    at: when [UTC]. plan: its judged parts, as section, key and field. digest: SHA-256 over them; code: its start in ten letters and
    digits. rows, photos, data_digest: how much was recorded already at that time, and the digest over it (empty where nothing was).
    reason: why the plan was amended; empty for the first. software: which fairtank wrote it. key: the public key it was signed with, in
    base64; empty where it was not signed. form: which canonical form its digests are over.
    """

    at: datetime
    plan: Parts = field(hash=False)
    digest: str
    code: str
    rows: int
    photos: int
    data_digest: str
    reason: str = ""
    software: str = ""
    key: str = ""
    form: int = 2

    @property
    def has_data(self) -> bool:
        """Whether anything was recorded when this was sealed."""
        return self.rows + self.photos > 0


@dataclass(frozen=True)
class Seal:
    """The plan's seal: the first sealing, then its amendments in order.

    document: seal.json as it was read. listings: the lists of rows that its stamps name, by their path in the folder, to the byte; one that
    is missing is left out.
    """

    entries: tuple[Sealing, ...]
    document: dict[str, Any] = field(hash=False, compare=False)
    listings: Mapping[str, bytes] = field(default_factory=dict, hash=False, compare=False)

    @property
    def last(self) -> Sealing:
        """The plan as it was sealed or amended last."""
        return self.entries[-1]


@dataclass(frozen=True)
class SealChange:
    """One field that differs between a sealed plan and a later one.

    section: design, arm, unit, measure or looks. key: of the arm, unit or measure; empty for the others. name: the field; empty where
    the whole arm, unit or measure came (kind `added`) or went (kind `left out`). was, now: both values. sealed_at: when the earlier plan
    was sealed. amended_at, reason: when and why the later plan was sealed; None and empty where it never was.
    """

    section: str
    key: str
    name: str
    was: Any
    now: Any
    sealed_at: datetime
    kind: str = "changed"
    amended_at: datetime | None = None
    reason: str = ""


@dataclass(frozen=True)
class Stamp:
    """The data as they lay in the folder at one time.

    at: when [UTC]. tables: file, count of rows and digest over them, in their order. documents: file and digest of the settings beside
    them. pictures: how many photos and pictures of strokes there were. listing: the file below the folder that names each row and picture.
    code: the start of the stamp's digest, which covers the seal and every stamp before. reason: why rows were changed since the stamp
    before; empty where none were. key: as in Sealing.
    """

    at: datetime
    tables: tuple[tuple[str, int, str], ...]
    documents: tuple[tuple[str, str], ...]
    pictures: int
    listing: str
    code: str
    reason: str = ""
    key: str = ""
    software: str = ""

    @property
    def rows(self) -> int:
        """Rows of all tables."""
        return sum(rows for _, rows, _ in self.tables)


@dataclass(frozen=True)
class SealFault:
    """One thing in seal.json that does not fit its digest.

    which: `seal`, `amendment`, `stamp` or `file` (all of seal.json); number: which of them (0 for the seal, else from 1). what: `content`
    (a field; place names it, empty where that cannot be told), `digest`, `code`, `order` (it does not follow the one before), `signature`
    (it does not fit), `unsigned` (its signature is gone), `listing` (its list of rows was changed), `gone` (a stamp that it names),
    `unreadable`. was: the value that fits, where it is known (has_was); now: the one that stands there.
    """

    which: str
    number: int
    what: str
    place: tuple[str, ...] = ()
    now: Any = None
    was: Any = None
    has_was: bool = False


@dataclass(frozen=True)
class Signing:
    """Who signed one entry or stamp: which and number as in SealFault; code of the public key, empty where it is not signed.

    is_valid: the signature fits. is_vouched: it is signed with the key that was named, or else with the first that signed here; or
    something later that is signed so covers it.
    """

    which: str
    number: int
    code: str
    is_valid: bool
    is_vouched: bool


@dataclass(frozen=True)
class TableChange:
    """What became of one table between a stamp and a later time.

    since: when it was stamped; until: the next stamp, None for now; reason: given with that next stamp. rows: how many were stamped.
    added: rows that came (numbers as a spreadsheet shows them, header = 1), of which `early` carry a day before the stamp. changed: rows
    that hold something else: their number when stamped, and now. removed: numbers, when stamped, of rows that are gone. moved: rows that
    stand in another order. columns_gone: columns that held something. is_missing: the file is gone. is_rewritten: no cell has another
    value, but the file is not the same to the byte. is_unplaced: rows were changed or removed, and which ones cannot be told.
    """

    file: str
    since: datetime
    rows: int
    until: datetime | None = None
    reason: str = ""
    added: tuple[int, ...] = ()
    early: int = 0
    changed: tuple[tuple[int, int], ...] = ()
    removed: tuple[int, ...] = ()
    moved: int = 0
    columns_gone: tuple[str, ...] = ()
    is_missing: bool = False
    is_rewritten: bool = False
    is_unplaced: bool = False

    @property
    def is_harm(self) -> bool:
        """Whether something that was stamped is no longer as it was."""
        return bool(self.changed or self.removed or self.columns_gone or self.is_missing or self.is_unplaced)


@dataclass(frozen=True)
class FileChange:
    """What became of a picture or a settings file between a stamp and a later time.

    kind: `changed`, `missing` or `added`. is_living: a file that may change while a trial runs, such as the schedule. is_picture: else it
    is a file of settings. since, until, reason: as in TableChange.
    """

    file: str
    kind: str
    since: datetime
    until: datetime | None = None
    reason: str = ""
    is_living: bool = False
    is_picture: bool = False

    @property
    def is_harm(self) -> bool:
        """Whether something that was stamped is no longer as it was."""
        return self.kind != "added" and not self.is_living


@dataclass(frozen=True)
class Verification:
    """What a folder's seal and stamps show.

    entries, stamps: those of seal.json that can be read, tampered with or not. faults: what does not fit its digest. signings: of each
    entry and stamp. amended: what amendments changed while nothing was recorded; changes: what was changed later, by an amendment or
    without one. tables, files: what became of what was stamped. draw: sentences on where the draw on record and the plan differ; None
    where there is no draw. early: rows that carry a day before the plan was sealed, though nothing was recorded then. wanted_key: the
    code of the key that should have signed, where one was named. unread: why a part could not be looked at, as sentences; notes: what
    else is to be known. titles: of the measures, by key. is_sealed: there is a seal.json. has_data: something is recorded by now.
    """

    is_sealed: bool
    entries: tuple[Sealing, ...] = ()
    stamps: tuple[Stamp, ...] = ()
    faults: tuple[SealFault, ...] = ()
    signings: tuple[Signing, ...] = ()
    amended: tuple[SealChange, ...] = ()
    changes: tuple[SealChange, ...] = ()
    tables: tuple[TableChange, ...] = ()
    files: tuple[FileChange, ...] = ()
    draw: tuple[str, ...] | None = None
    early: int = 0
    wanted_key: str = ""
    unread: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    titles: tuple[tuple[str, str], ...] = ()
    has_data: bool = True

    @property
    def has_wanted_key(self) -> bool:
        """Whether the key that was named vouches for everything; true where none was named."""
        if not self.wanted_key:
            return True
        return bool(self.signings) and all(one.is_vouched for one in self.signings)

    @property
    def is_in_order(self) -> bool:
        """Whether nothing that was sealed or stamped is otherwise now; additions are in order."""
        signed = any(one.code for one in self.signings)
        return not (self.faults or self.changes or self.draw or self.unread or not self.is_sealed or not self.has_wanted_key
                    or (signed and not all(one.is_vouched for one in self.signings))
                    or any(one.is_harm for one in self.tables) or any(one.is_harm for one in self.files))
