"""Work out one quantity: tank volume, layer depth, an interval for a count, a colour difference ...

Without a name it lists the calculators; with a name and --help, what that one takes. Where an input takes several numbers they are
separated by commas.

Example: fairtank calc gross_volume_l --length-mm 600 --width-mm 300 --water-mm 330 --glass-mm 6
"""

import dataclasses
import json
from typing import Any

import click

from fairtank import registry
from fairtank.cli.inputs import example_of, inputs_told, option_of, value_from_text
from fairtank.cli.options import json_option
from fairtank.sources import source


class Calc(click.Command):
    """The command whose help after a calculator's name is about that calculator."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Answer `NAME --help` here; everything else is read as usual."""
        if args and not args[0].startswith("-") and any(word in ctx.help_option_names for word in args):
            click.echo(_help(registry.entry("calculator", args[0]), ctx))
            ctx.exit()
        return super().parse_args(ctx, args)


@click.command("calc", cls=Calc, help=__doc__, context_settings={"ignore_unknown_options": True, "allow_extra_args": True})
@click.argument("name", default="")
@json_option
@click.pass_context
def command(context: click.Context, name: str, as_json: bool) -> None:
    """Twin of the functions that `fairtank.registry` lists as calculators."""
    if not name:
        _list(as_json)
        return
    entry = registry.entry("calculator", name)
    given = _given(entry, context.args)
    result = _plain(entry.function(**given))
    if as_json:
        click.echo(json.dumps({"calculator": name, "inputs": given, "unit": entry.unit, "result": result}, ensure_ascii=False))
        return
    click.echo(f"{entry.title}: {_told(result)}{f' {entry.unit}' if entry.unit else ''}")
    for key in entry.sources:
        click.echo(f"Source: {source(key).reference}")


def _list(as_json: bool) -> None:
    """All calculators, one a line."""
    listed = [{"name": entry.key, "title": entry.title, "unit": entry.unit} for entry in registry.entries("calculator")]
    if as_json:
        click.echo(json.dumps({"calculators": listed}, ensure_ascii=False))
        return
    for row in listed:
        unit = f" [{row['unit']}]" if row["unit"] else ""
        click.echo(f"{row['name']:<28}{row['title']}{unit}")


def _help(entry: registry.Entry, context: click.Context) -> str:
    """What a calculator works out, what it takes, and an example."""
    formatter = context.make_formatter()
    formatter.write_usage("fairtank calc", f"{entry.key} --INPUT VALUE ...")
    formatter.write_paragraph()
    formatter.write_text(f"{entry.title}{f' [{entry.unit}]' if entry.unit else ''}. {entry.summary}")
    with formatter.section("Inputs"):
        formatter.write_dl(inputs_told(entry))
    if example := example_of(entry):
        formatter.write_paragraph()
        formatter.write("Example:\n")  # on one line, so that it can be copied
        formatter.write(f"  {example}\n")
    return formatter.getvalue().rstrip("\n")


def _given(entry: registry.Entry, words: list[str]) -> dict[str, Any]:
    """The values of `--input value` pairs, checked against the calculator's declared inputs."""
    inputs = {option_of(declared): declared for declared in entry.inputs}
    accepted = ", ".join(inputs)
    given: dict[str, Any] = {}
    pairs = [word.split("=", 1) if "=" in word and word.startswith("--") else [word] for word in words]
    flat = [part for pair in pairs for part in pair]
    if len(flat) % 2:
        raise click.UsageError(f"every option of {entry.key} takes one value; its options: {accepted}")
    for option, text in zip(flat[::2], flat[1::2], strict=True):
        declared = inputs.get(option.replace("_", "-"))
        if declared is None:
            raise click.UsageError(f"{entry.key} has no option {option}; its options: {accepted}")
        given[declared.name] = value_from_text(entry, declared, text)
    missing = [declared for declared in entry.inputs if declared.name not in given and declared.default is None]
    if missing:
        wanted = "; ".join(f"{option_of(part)}: {part.label}{f' [{part.unit}]' if part.unit else ''}" for part in missing)
        raise click.UsageError(f"{entry.key} also needs {wanted}")
    return given


def _plain(result: Any) -> Any:
    """A result as numbers, lists and mappings; parts that have names keep them."""
    if dataclasses.is_dataclass(result) and not isinstance(result, type):
        return {key.name: _plain(getattr(result, key.name)) for key in dataclasses.fields(result)}
    if hasattr(result, "_asdict"):
        return _plain(result._asdict())
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
