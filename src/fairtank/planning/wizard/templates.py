"""Templates for common questions: answers that are proposed, all of them invented."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from fairtank.errors import InputError
from fairtank.planning.wizard.step import Value

FOLDER = Path(__file__).resolve().parent.parent / "templates"


@dataclass(frozen=True)
class Template:
    """One template. key: its name. title: the question it is about. answers: what it proposes, by key of the step."""

    key: str
    title: str
    answers: Mapping[str, Value]


def template_names() -> tuple[str, ...]:
    """The names of all templates, in alphabetical order."""
    return tuple(sorted(path.stem for path in FOLDER.glob("*.toml")))


def template_of(name: str) -> Template:
    """The template of that name.

    Raises InputError when there is none.

    >>> template_of("feeding").answers["primary"]
    'algae_cover'
    """
    if name not in template_names():
        raise InputError("the template", name[:40], ", ".join(template_names()))
    document = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    answers = {key: tuple(value) if isinstance(value, list) else value for key, value in document["answers"].items()}
    return Template(name, document["title"], answers)
