"""plan-answers.toml: what was answered so far, kept after every answer, and which files were made from it."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import Any

import tomli_w

from fairtank.errors import InputError, JobError, plain_reason
from fairtank.planning.wizard.asking import STEPS
from fairtank.planning.wizard.step import Value
from fairtank.records.folder.near import did_you_mean, meant
from fairtank.records.folder.paths import TOML_LIMIT_BYTES, is_there, read_bytes, text_from_bytes
from fairtank.records.folder.problems import Refusal, shown
from fairtank.records.writing import text_write

ANSWERS_FILE = "plan-answers.toml"
HEAD = "# Answers to the questions of fairtank plan; it goes on from here. Delete this file to begin anew.\n"
_EXTRA = ("design_kind",)  # what only a template says


@dataclass(frozen=True)
class KeptAnswers:
    """What plan-answers.toml holds. template: its name, empty without one. made: digest of each file that was made, by its name."""

    answers: Mapping[str, Value] = field(default_factory=dict)
    template: str = ""
    made: Mapping[str, str] = field(default_factory=dict)


def answers_in(root: Path) -> KeptAnswers:
    """The answers that are kept in a folder; none where there is no such file.

    Parameters
    ----------
    root : Path
        The trial folder, which need not be there yet.

    Raises
    ------
    InputError
        If the file cannot be read as answers.

    References
    ----------
    common_practice (keys from sources.py).
    """
    if not root.is_dir() or not is_there(root, ANSWERS_FILE):
        return KeptAnswers()
    try:
        text, _, fault = text_from_bytes(read_bytes(root, ANSWERS_FILE, TOML_LIMIT_BYTES, called="the file"))
    except Refusal as refusal:
        raise InputError(ANSWERS_FILE, refusal.read, refusal.accepted) from refusal
    if text is None or fault is not None:
        raise InputError(ANSWERS_FILE, fault.read if fault else "unreadable", fault.accepted if fault else "a text in UTF-8")
    return answers_from_text(text, str(root / ANSWERS_FILE))


def answers_from_text(text: str, name: str) -> KeptAnswers:
    """Answers from the text of a TOML file: under [answers], or at its top; a key that no question has is refused.

    Parameters
    ----------
    text : str
        The content of the file.
    name : str
        What the file is called in a refusal.

    Raises
    ------
    InputError
        If the text is no TOML, or holds what no question asks.

    References
    ----------
    common_practice (keys from sources.py).
    """
    try:
        document = tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        raise InputError(name, "no TOML that can be read", "lines of the form key = value",
                         f"Reading stopped: {shown(str(error))}.") from error
    template, made = document.pop("template", ""), document.pop("made", {})
    given = document.pop("answers", None)
    table = {**document, **(given if isinstance(given, dict) else {})}
    if given is not None and not isinstance(given, dict):
        raise InputError(name, "answers that are no table", "answers under [answers]")
    answers = {key: _value(key, value, name) for key, value in table.items()}
    if not isinstance(template, str) or not isinstance(made, dict):
        raise InputError(name, "a template or made that cannot be read", "as fairtank plan writes them")
    return KeptAnswers(answers, template, {str(file): str(digest) for file, digest in made.items()})


def answers_write(root: Path, kept: KeptAnswers) -> None:
    """Write plan-answers.toml whole, making the folder where needed.

    Parameters
    ----------
    root : Path
        The trial folder.
    kept : KeptAnswers
        What it shall hold.

    Raises
    ------
    JobError
        If the place cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    document: dict[str, Any] = {"template": kept.template} if kept.template else {}
    document["answers"] = {key: list(value) if isinstance(value, tuple) else value for key, value in kept.answers.items()}
    if kept.made:
        document["made"] = dict(kept.made)
    try:
        text_write(root / ANSWERS_FILE, HEAD + tomli_w.dumps(document))
    except OSError as error:
        raise JobError(f"{root / ANSWERS_FILE} cannot be written: {plain_reason(error)}. The answer was not kept.") from error


def _value(key: str, value: Any, name: str) -> Value:
    """A value of the file as an answer; whether it fits its question is found when the question is reached."""
    keys = [*(step.key for step in STEPS), *_EXTRA]
    if key not in keys:
        near = meant(key, keys)
        hint = did_you_mean(near).strip() if near else ""
        raise InputError(f"a line of {name}", f"the key {shown(key)}, which no question has", "keys of the questions", hint)
    if isinstance(value, list) and all(isinstance(one, (str, int, float)) and not isinstance(one, bool) for one in value):
        return tuple(value)
    if isinstance(value, (str, int, float, bool, date)):
        return value
    raise InputError(name, f"with a value of {shown(key)} that cannot be an answer", "a text, a number, a date, true, false or a list")
