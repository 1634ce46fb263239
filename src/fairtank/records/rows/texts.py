"""The files of a trial's folder as they would be written now: texts of the plan as they are, tables from their rows."""

from fairtank.records.models import Document, Trial
from fairtank.records.rows.door import text_of_rows
from fairtank.records.rows.kinds import KINDS


def texts_of(trial: Trial, without: frozenset[int] = frozenset()) -> dict[str, bytes]:
    """Path in the folder -> content, for every file but photos and pictures of strokes.

    A table whose rows are as they came is given to the byte as it came. What is written anew is kept, so that it is made once.

    Parameters
    ----------
    trial : Trial
    without : frozenset of int
        Keys of photos that are left out, with every row that refers to them.

    Returns
    -------
    dict
        By path.

    References
    ----------
    common_practice (keys from sources.py).
    """
    there = {document.path: bytes(document.content) for document in Document.objects.filter(trial=trial)}
    for field, kind in KINDS.items():
        if kind.table.file not in there:
            text = text_of_rows(trial, field)
            if text:
                there[kind.table.file] = text.encode()
                Document.objects.update_or_create(trial=trial, path=kind.table.file, defaults={"content": text.encode(), "is_table": True})
    for kind in (kind for kind in KINDS.values() if without and (kind.photos or kind.field == "photos")):
        there[kind.table.file] = text_of_rows(trial, kind.field, without).encode()
    return {path: content for path, content in there.items() if content}
