"""The sentences that fairtank/records writes in English for the terminal and the pages alike, as texts to be translated.

A refusal is put together where it is raised, and the terminal, the tests and whoever keeps it read the same English words. So the pieces
are not wrapped one by one: they are found here, in the code, each with its places for values named, and the pages turn a finished sentence
back into its piece and values (web/spoken.py). What is found is all that stands in the call of an error, and in the files of SPOKEN
every text of several words; what only the terminal says is left out.
"""

import ast
import re

CONTEXT = "sentence"
_RAISED = re.compile(r"(?:Error|Refusal|Refused|_refused)$")
_NOT_TOLD = {
    "noted", "LogRecord", "Formatter", "_", "gettext", "gettext_lazy", "ngettext", "pgettext", "compile", "sub", "fullmatch", "filter",
    "values_list", "ValueError", "TypeError", "KeyError", "PartsError", "_unclean",
}  # fmt: skip
# Files in which sentences are made step by step.
SPOKEN = (
    "errors.py", "folder/problems.py", "folder/near.py", "folder/cells.py", "folder/cells_chores.py", "folder/checks_dates.py",
    "folder/checks_readings.py", "folder/checks.py", "folder/checks_instruments.py", "folder/chore_rows.py", "folder/toml_section.py",
    "folder/setup_toml_section.py", "folder/setup_toml_parts.py", "folder/setup_toml_checks.py", "folder/schedule_toml_section.py",
    "folder/unknown_keys.py", "folder/zipped.py", "folder/factor_cells.py", "importers/", "services/entries.py", "services/weighing.py",
    "services/setup_lines.py", "services/pairing.py", "services/readings.py", "services/accounts.py", "services/events.py",
    "services/seats.py", "services/working.py", "services/audit_result.py", "jobs/faults.py", "jobs/recovery.py", "jobs/running.py",
    "jobs/kit.py", "jobs/report.py", "jobs/site.py", "services/filming.py", "services/wording.py", "site_address.py",
    "publish/film/encode.py", "publish/kit/",
)  # fmt: skip
# What only the terminal does, or what is told of a folder or a file that was brought in.
TERMINAL = (
    "audit_files.py", "certificates.py", "cluster.py", "database.py", "fanout.py", "packing.py", "photo_heif.py", "photo_parts.py",
    "plan_answers.py", "snapshot.py", "store.py", "exporters/", "folder/", "migrations/", "models/", "services/auditing.py",
    "services/backing_up.py", "services/cards.py", "services/charting.py", "services/checking.py", "services/comparable.py",
    "services/demo.py", "services/examples.py", "services/exporting.py", "services/forecasting.py", "services/kits.py", "services/lens.py",
    "services/painting.py", "services/planning.py", "services/pooling.py", "services/restoring.py", "services/run_in_values.py",
    "services/spreading.py", "services/trials.py", "services/verifying.py",
)  # fmt: skip
# Words that stand for themselves in the place of a value.
_SINGLE = {"empty", "missing", "day", "month", "tabs", "semicolons", "commas", "point", "comma",
           "January", "February", "March", "April", "May", "June", "July", "August", "September", "October", "November", "December"}
# Sentences of the trail, which are kept as they were written, and what goes into a log.
_KEPT = re.compile(r"(?:Changed|Took back|Entered later:|Closed|Opened|Weighed|Wrote|Put right|Read) |, which leaves days|all tanks|job %")
_SEVERAL_WORDS = re.compile(r"[A-Za-z]+[,;:.]? +(?:[a-z0-9(]|%\()|%\(\w+\)s [a-z]")
# Words that are no units of measure.
_WORD, _VALUE = re.compile(r"\b(?!mg\b|px\b|MB\b)[A-Za-z]{2,}"), re.compile(r"%\(\w+\)s")
# What is no name of a value: how it is shown.
_SHOWN_BY = {"shown", "len", "str", "number_text", "plain", "listed", "join", "sorted", "float"}


def sentences_in(path, inside):
    """Texts of one file, in the order of its lines; inside: its place below records, such as `services/photos.py`."""
    is_spoken = inside.startswith(SPOKEN)
    if not is_spoken and inside.startswith(TERMINAL):
        return []
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = []
    _gather(tree, is_spoken, found)
    return list(dict.fromkeys(text for _place, text in sorted(found)))


def _gather(node, told, found):
    if isinstance(node, ast.Call):
        name = node.func.attr if isinstance(node.func, ast.Attribute) else getattr(node.func, "id", "")
        if name in _NOT_TOLD:
            return
        told = told or bool(_RAISED.search(name))
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return  # a docstring
    text = _text(node) if told and isinstance(node, (ast.Constant, ast.JoinedStr, ast.BinOp)) else None
    if text is not None:
        text = text.strip()
        if (text in _SINGLE or _SEVERAL_WORDS.search(text)) and _WORD.search(_VALUE.sub("", text)) and not _KEPT.match(text):
            found.append(((node.lineno, node.col_offset), text))
        for part in ast.walk(node):
            if isinstance(part, (ast.IfExp, ast.Call)):
                _gather(part, told, found)
        return
    for child in ast.iter_child_nodes(node):
        if isinstance(node, ast.keyword) and node.arg in ("said", "changed", "verb"):
            return
        if isinstance(node, ast.Compare):
            return
        _gather(child, told, found)


def _text(node):
    """The text that an expression gives, with `%(name)s` for each value in it; None where it is no text."""
    if isinstance(node, ast.Constant):
        return node.value if isinstance(node.value, str) else None
    pieces = _pieces(node)
    if pieces is None:
        return None
    names, text = {}, ""
    has_values = any(not isinstance(piece, str) for piece in pieces)
    for piece in pieces:
        if isinstance(piece, str):
            text += piece.replace("%", "%%") if has_values else piece
        else:
            name = _name(piece)
            while name in names and names[name] != ast.dump(piece):
                name += "_"
            names[name] = ast.dump(piece)
            text += f"%({name})s"
    return text


def _pieces(node):
    """The parts of a text: strings, and expressions for values; None for what is no text."""
    if isinstance(node, ast.Constant):
        return [node.value] if isinstance(node.value, str) else None
    if isinstance(node, ast.JoinedStr):
        return [part.value for part in node.values]
    if isinstance(node, ast.BinOp) and isinstance(node.op, ast.Add):
        sides = [_pieces(side) for side in (node.left, node.right)]
        if sides != [None, None]:
            return [piece for side, pieces in zip((node.left, node.right), sides, strict=True) for piece in pieces or [side]]
    return None


def _name(node):
    """A short name for a value: the last word of what it is called."""
    if isinstance(node, ast.IfExp):
        return _name(node.test)
    names = [getattr(part, "attr", None) or getattr(part, "id", "") for part in ast.walk(node)]
    names = [name for name in names if name and name not in _SHOWN_BY]
    return (names or ["value"])[0].strip("_").lower()
