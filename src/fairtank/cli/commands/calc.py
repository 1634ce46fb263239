"""Work out one quantity: tank volume, layer depth, an interval for a count, a colour difference ...

Without a name it lists the calculators. Several numbers for one input are separated by commas.

Example: fairtank calc gross_volume_l --length-mm 600 --width-mm 300 --water-mm 330 --glass-mm 6
"""

import dataclasses
import json
from typing import Any

import click

from fairtank import registry
from fairtank.cli.options import json_option
from fairtank.errors import InputError
from fairtank.sources import source


@click.command("calc", help=__doc__, context_settings={"ignore_unknown_options": True, "allow_extra_args": True})
@click.argument("name", default="")
@json_option
@click.pass_context
def command(context: click.Context, name: str, as_json: bool) -> None:
    """Twin of the functions that `fairtank.registry` lists as calculators."""
    if not name:
        listed = [{"name": entry.key, "title": entry.title, "unit": entry.unit} for entry in registry.entries("calculator")]
        if as_json:
            click.echo(json.dumps({"calculators": listed}, ensure_ascii=False))
            return
        for row in listed:
            unit = f" [{row['unit']}]" if row["unit"] else ""
            click.echo(f"{row['name']:<28}{row['title']}{unit}")
        return
    entry = registry.entry("calculator", name)
    given = _given(entry, context.args)
    result = entry.function(**given)
    if as_json:
        click.echo(json.dumps({"calculator": name, "inputs": given, "unit": entry.unit, "result": _plain(result)}, ensure_ascii=False))
        return
    click.echo(f"{entry.title}: {_told(_plain(result))}{f' {entry.unit}' if entry.unit else ''}")
    for key in entry.sources:
        click.echo(f"Source: {source(key).reference}")


def _given(entry: registry.Entry, words: list[str]) -> dict[str, Any]:
    """The values of `--input value` pairs, checked against the calculator's declared inputs."""
    inputs = {declared.name: declared for declared in entry.inputs}
    accepted = ", ".join(f"--{name.replace('_', '-')}" for name in inputs)
    given: dict[str, Any] = {}
    pairs = [word.split("=", 1) if "=" in word and word.startswith("--") else [word] for word in words]
    flat = [part for pair in pairs for part in pair]
    if len(flat) % 2:
        raise click.UsageError(f"every option of {entry.key} takes one value; its options: {accepted}")
    for option, text in zip(flat[::2], flat[1::2], strict=True):
        key = option.removeprefix("--").replace("-", "_")
        if not option.startswith("--") or key not in inputs:
            raise click.UsageError(f"{entry.key} has no option {option}; its options: {accepted}")
        given[key] = text if inputs[key].choices else _number(option, text)
    missing = [declared for declared in entry.inputs if declared.name not in given and declared.default is None]
    if missing:
        wanted = "; ".join(f"--{part.name.replace('_', '-')}: {part.label}{f' [{part.unit}]' if part.unit else ''}" for part in missing)
        raise click.UsageError(f"{entry.key} also needs {wanted}")
    return given


def _number(option: str, text: str) -> Any:
    """A number, several separated by commas, or several such groups separated by semicolons."""
    try:
        groups = [[float(part) for part in group.split(",")] for group in text.split(";")]
    except ValueError as error:
        raise InputError(option, text, "a number, or numbers separated by commas", "Write decimals with a point.") from error
    if len(groups) > 1:
        return groups
    return groups[0] if len(groups[0]) > 1 else groups[0][0]


def _plain(result: Any) -> Any:
    """A result as numbers, lists and mappings."""
    if dataclasses.is_dataclass(result) and not isinstance(result, type):
        return {key.name: _plain(getattr(result, key.name)) for key in dataclasses.fields(result)}
    if hasattr(result, "tolist"):
        return _plain(result.tolist())
    if isinstance(result, dict):
        return {key: _plain(value) for key, value in result.items()}
    if isinstance(result, (list, tuple)):
        return [_plain(value) for value in result]
    return float(f"{result:.10g}") if isinstance(result, float) else result


def _told(value: Any) -> str:
    """A plain result for people."""
    if isinstance(value, dict):
        return ", ".join(f"{name.replace('_', ' ')} {_told(part)}" for name, part in value.items())
    if isinstance(value, list):
        return "(" + ", ".join(map(_told, value)) + ")"
    return f"{value:.4g}" if isinstance(value, float) else str(value)
