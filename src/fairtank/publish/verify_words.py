"""What became of a sealed folder, in words: what was changed, when, and whether that matters; the answer first."""

from collections.abc import Mapping, Sequence
from datetime import datetime

from fairtank.publish.numbers import shown
from fairtank.publish.phrases import capital, so_many
from fairtank.publish.seal_words import change_words, late_words, sealed_words, subject, time_words, value_words
from fairtank.seal import FileChange, Seal, SealChange, SealFault, Signing, Stamp, TableChange, Verification

MOST_NAMED = 6
_FIELDS = {
    "at": "time", "plan": "plan", "rows": "count of values", "photos": "count of photos", "data_digest": "digest of the data",
    "reason": "reason", "software": "name of the software", "key": "public key", "stamp": "mention of the last stamp", "form": "form",
    "tables": "record of", "documents": "record of", "pictures": "record of the pictures", "listing": "name of its list",
    "listing_digest": "digest of its list", "entry": "mention of the seal",
}
LIVING = {"trial.toml": "what is judged by it, the seal holds; its titles and words may change",
          "schedule.toml": "a schedule may be planned anew while a trial runs"}
UNSEALED = ("This folder is not sealed: it has no seal.json, so nothing can be verified. `fairtank seal` fixes the plan, and with --data "
            "what was recorded so far; what is changed after that can be told.")
CLOSING = ("This compares the folder with its own seal.json. Whoever holds a folder can make a new one: what shows that this is the old "
           "one is a code that was shown or posted at that time.")


def verified_words(verified: Verification) -> list[str]:
    """The whole answer as sentences: whether all is in order, what was changed, then what was sealed and stamped, and what that is worth.

    Parameters
    ----------
    verified : Verification

    Returns
    -------
    list of str

    References
    ----------
    common_practice (keys from sources.py).
    """
    if not verified.is_sealed:
        return [UNSEALED, *verified.unread]
    return [headline(verified), *harm_words(verified), *history_words(verified), CLOSING]


def headline(verified: Verification) -> str:
    """Whether all is in order, as one sentence."""
    if not verified.is_sealed:
        return UNSEALED
    if not verified.is_in_order:
        return "Not all is as it was sealed."
    came = sum(len(one.added) for one in verified.tables) + sum(one.kind == "added" for one in verified.files)
    scope = "Nothing that was sealed or stamped was changed" if verified.stamps else "Nothing of the sealed plan was changed"
    return f"{scope}{'; what came later was added' if came else ''}."


def harm_words(verified: Verification) -> list[str]:
    """Everything that is otherwise than it was sealed or stamped."""
    titles = dict(verified.titles)
    told = [fault_words(one, titles) for one in verified.faults]
    told += [change_words(one, titles) for one in verified.changes]
    if not verified.has_data and any(one.amended_at is None for one in verified.changes):
        told.append("Nothing is recorded yet: sealed again, with a reason, it counts like the first seal.")
    told += _signing_harm(verified)
    told += [table_words(one) for one in verified.tables if one.is_harm]
    told += files_words([one for one in verified.files if one.is_harm])
    return [*told, *(verified.draw or ()), *verified.unread]


def history_words(verified: Verification) -> list[str]:
    """What was sealed, amended, stamped, signed and added, in order of time as far as it goes."""
    titles = dict(verified.titles)
    told = []
    if verified.entries:
        seal = Seal(verified.entries, {})
        told += [f"Sealed {sealed_words(seal)}.", *late_words(seal)]
    told += [change_words(one, titles, has_data=False) for one in verified.amended]
    if verified.early:
        rows = "1 row of readings.csv and photos.csv carries" if verified.early == 1 else \
            f"{verified.early} rows of readings.csv and photos.csv carry"
        told.append(f"{rows} a day before the plan was sealed, though nothing was recorded in the folder then.")
    told += stamp_words(verified.stamps)
    told += [table_words(one) for one in verified.tables if not one.is_harm]
    told += files_words([one for one in verified.files if not one.is_harm])
    told += signing_words(verified.signings)
    if verified.draw == ():
        told.append("The arms are those that the lot gave, and its seed gives them again.")
    return [*told, *verified.notes]


def stamp_words(stamps: Sequence[Stamp]) -> list[str]:
    """When the data were stamped, how much there was, and the code of each stamp."""
    if not stamps:
        return ["The data were never stamped, so that what was changed in the tables cannot be told: `fairtank seal --data` stamps them."]
    return [f"The data were stamped {time_words(one.at)}, code {one.code}: {amount_words(one)}." for one in stamps]


def amount_words(stamp: Stamp) -> str:
    """How much a stamp covers."""
    tables = len([rows for _, rows, _ in stamp.tables if rows])
    told = [f"{so_many(stamp.rows, 'row')} of {so_many(tables, 'table')}"] if tables else []
    told += [so_many(stamp.pictures, "picture")] if stamp.pictures else []
    told.append(f"{so_many(len(stamp.documents), 'file')} of settings")
    return f"{', '.join(told[:-1])} and {told[-1]}" if len(told) > 1 else told[0]


def which_words(which: str, number: int) -> str:
    """`the seal`, `amendment 1`, `stamp 2`."""
    return {"seal": "the seal", "amendment": f"amendment {number}", "stamp": f"stamp {number}", "file": "seal.json"}[which]


def fault_words(fault: SealFault, titles: Mapping[str, str]) -> str:
    """One thing that does not fit in seal.json, as a sentence."""
    which = which_words(fault.which, fault.number)
    if fault.what == "content":
        return _content_words(fault, which, titles)
    told = {
        "digest": f"The digest of {which} was changed after it was written: it does not fit the plan beside it.",
        "code": f"The code of {which} was changed after it was written: {value_words(fault.now)} stands there.",
        "order": f"{capital(which)} does not follow what stands before it: something was taken out or put in.",
        "signature": f"The signature of {which} does not fit: its content was changed after it was signed, or another key signed it.",
        "unsigned": f"{capital(which)} was signed, and its signature is gone.",
        "listing": f"The list of rows of {which} was changed after it was written, so that rows cannot be named.",
        "gone": f"A stamp that {which} names is gone from seal.json.",
        "unreadable": f"{which if fault.which == 'file' else capital(which)} cannot be read{': ' + str(fault.now) if fault.now else ''}.",
    }
    return told[fault.what]


def _content_words(fault: SealFault, which: str, titles: Mapping[str, str]) -> str:
    """Which field of an entry was changed, and what stands there."""
    if not fault.place or fault.place == ("plan",):
        return f"{capital(which)} was changed after it was written{' in its plan' if fault.place else ''}; which field cannot be told."
    values = (f"{value_words(fault.was)} was sealed, {value_words(fault.now)} stands there" if fault.has_was
              else f"{value_words(fault.now)} stands there now")
    return f"In {which} itself, the {_place_words(fault, titles)} was changed after it was written: {values}."


def _place_words(fault: SealFault, titles: Mapping[str, str]) -> str:
    """The field that was changed, behind `the`."""
    if fault.place[0] == "plan" and len(fault.place) == 4:
        _, section, key, name = fault.place
        if section in ("design", "arm", "unit", "measure", "looks"):
            return subject(SealChange(section, key, name, None, None, datetime.min), titles)
    if fault.place[0] in ("tables", "documents") and len(fault.place) > 1:
        return f"record of {shown(fault.place[1])}"
    return _FIELDS.get(fault.place[0], f"field {shown(fault.place[0])}")


def table_words(change: TableChange) -> str:
    """What became of one table, as a sentence."""
    told = []
    if change.is_missing:
        told.append(f"the file is gone, with {so_many(change.rows, 'row')}")
    if change.columns_gone:
        told.append(f"{'a column is' if len(change.columns_gone) == 1 else 'columns are'} gone ({_named(change.columns_gone)})")
    if change.changed:
        told.append(_changed_words(change.changed))
    if change.removed:
        told.append(f"{rows_words(change.removed)} {_was(change.removed)} removed (numbered as stamped)")
    if change.is_unplaced:
        told.append("rows were changed or removed, and which ones cannot be told")
    if change.moved:
        told.append(f"{so_many(change.moved, 'row')} {'stands' if change.moved == 1 else 'stand'} in another place, none of them changed")
    if change.added:
        early = f", {change.early} of them with a day before the stamp" if change.early else ""
        told.append(f"{rows_words(change.added)} {_was(change.added)} added{early}")
    if change.is_rewritten:
        told.append("the file was saved anew, and no cell has another value (line ends, quotation marks, the order of columns or zeros at "
                    "the end of numbers differ)")
    return f"{_period(change.since, change.until, change.reason)}, in {shown(change.file)}: {'; '.join(told)}."


def _changed_words(changed: Sequence[tuple[int, int]]) -> str:
    then, now = [old for old, _ in changed], [new for _, new in changed]
    place = "" if then == now else f" (now {rows_words(now)})"
    return f"{rows_words(then)}{place} {_was(then)} changed"


def _was(rows: Sequence[object]) -> str:
    return "was" if len(rows) == 1 else "were"


def _period(since: datetime, until: datetime | None, reason: str) -> str:
    """Between which times."""
    given = f" (reason given: “{shown(reason)}”)" if reason else ""
    if until is None:
        return f"Since the stamp of {time_words(since)}"
    return f"Between the stamps of {time_words(since)} and {time_words(until)}{given}"


def rows_words(rows: Sequence[int]) -> str:
    """Row numbers in words.

    >>> rows_words([7]), rows_words([2, 3, 4, 9]), rows_words([4, 5])
    ('row 7', 'rows 2 to 4 and 9', 'rows 4 and 5')
    """
    spans: list[list[int]] = []
    for row in sorted(rows):
        if spans and row == spans[-1][-1] + 1:
            spans[-1].append(row)
        else:
            spans.append([row])
    said = [text for span in spans[:MOST_NAMED] for text in ([f"{span[0]} to {span[-1]}"] if len(span) > 2 else map(str, span))]
    rest = len(rows) - sum(map(len, spans[:MOST_NAMED]))
    said += [f"{rest} more"] if rest else []
    return f"row{'s' if len(rows) > 1 else ''} {', '.join(said[:-1])} and {said[-1]}" if len(said) > 1 else \
        f"row{'s' if len(rows) > 1 else ''} {said[0]}"


def files_words(files: Sequence[FileChange]) -> list[str]:
    """What became of pictures and files of settings, one sentence for each kind of change and span of time."""
    groups: dict[tuple[object, ...], list[FileChange]] = {}
    for one in files:
        groups.setdefault((one.since, one.until, one.kind, one.is_picture, one.is_living and one.file), []).append(one)
    return [_files_sentence(group) for group in groups.values()]


def _files_sentence(group: Sequence[FileChange]) -> str:
    one, names = group[0], [file.file for file in group if file.file]
    nouns = "picture" if one.is_picture else "file of settings"
    counted = f"{len(group)} {'pictures' if one.is_picture else 'files of settings'}" if len(group) > 1 else f"a {nouns}"
    done = {"changed": "changed", "missing": "removed", "added": "added"}[one.kind]
    if not names:
        return f"{_period(one.since, one.until, one.reason)}, pictures were changed or removed, and which ones cannot be told."
    period = _period(one.since, one.until, one.reason)
    if one.is_living:
        return f"{period}, {_named(names)} {_was(group)} edited: {LIVING[one.file]}."
    return f"{period}, {counted} {_was(group)} {done} ({_named(names)})."


def _named(names: Sequence[str]) -> str:
    told = [shown(name) for name in names[:MOST_NAMED]]
    rest = len(names) - len(told)
    return ", ".join(told) + (f" and {rest} more" if rest else "")


def signing_words(signings: Sequence[Signing]) -> list[str]:
    """Which keys signed what, where the signatures fit."""
    if not any(one.code for one in signings):
        return ["Nothing is signed."] if signings else []
    told = []
    for code in dict.fromkeys(one.code for one in signings if one.code and one.is_valid):
        signed = [which_words(one.which, one.number) for one in signings if one.code == code and one.is_valid]
        listed = signed[0] if len(signed) == 1 else f"{', '.join(signed[:-1])} and {signed[-1]}"
        told.append(f"{capital(listed)} {'is' if len(signed) == 1 else 'are'} signed with the key {code}; "
                    f"{'the signature fits' if len(signed) == 1 else 'the signatures fit'}.")
    return told


def _signing_harm(verified: Verification) -> list[str]:
    """Entries and stamps that the keeper's key does not vouch for."""
    signings = verified.signings
    told = []
    if not verified.has_wanted_key and not any(one.code == verified.wanted_key and one.is_valid for one in signings):
        told.append(f"Nothing in seal.json is signed with the key {verified.wanted_key}.")
    elif any(one.code for one in signings):
        for one in signings:
            which = capital(which_words(one.which, one.number))
            if one.is_vouched or (one.code and not one.is_valid):
                continue
            told.append(f"{which} is signed with another key, {one.code}." if one.code else
                        f"{which} is not signed, and nothing later that is signed covers it: anybody may have written it.")
    return told


def stamped_words(stamp: Stamp, *, is_new: bool) -> list[str]:
    """What to say when the data were stamped, or were stamped already."""
    if not is_new:
        return [f"The data are stamped already, {time_words(stamp.at)}, and nothing came or went since. Code of the stamp: {stamp.code}."]
    return [f"The data are stamped, {time_words(stamp.at)}: {amount_words(stamp)}.",
            f"Code of the stamp: {stamp.code}. Shown or posted today, it pins the plan and all of these data."]
