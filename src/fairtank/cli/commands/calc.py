"""Work out one quantity: tank volume, dissolved CO2, light per day, a dose, a colour difference ...

Without a name it lists the calculators by topic; with a name and --help, what that one takes. A value may carry its unit (24 in, 78 degF,
5 US gal, 50 %) and how far the reading may be off (6.6±0.05, or 6.6 exact); a range from:to:step for one or two inputs gives a table,
and with --plot a picture. Where an input takes several numbers they are separated by commas.

Example: fairtank calc gross_volume_l --length-mm 600 --width-mm 300 --water-mm 330 --glass-mm 6
"""

import importlib
import json
from pathlib import Path
from typing import Any

import click

from fairtank.bench.answers import answer_json, answer_of
from fairtank.bench.asking import Asked, calculator_named
from fairtank.bench.inputs import example_of
from fairtank.bench.tables import table_json, table_of
from fairtank.bench.topics import topics
from fairtank.cli.asking import asked
from fairtank.cli.lines import answer_lines, inputs_told, plain_spaces, table_lines
from fairtank.cli.options import json_option
from fairtank.errors import InputError
from fairtank.planning.claiming.claim import Claim
from fairtank.publish.calc_words import notes_text
from fairtank.registry import Entry


class Calc(click.Command):
    """The command whose help after a calculator's name is about that calculator."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """Answer `NAME --help` here; everything else is read as usual."""
        if args and not args[0].startswith("-") and any(word in ctx.help_option_names for word in args):
            click.echo(_help(calculator_named(args[0]), ctx))
            ctx.exit()
        return super().parse_args(ctx, args)


@click.command("calc", cls=Calc, help=__doc__, context_settings={"ignore_unknown_options": True, "allow_extra_args": True})
@click.argument("name", default="")
@json_option
@click.option("--plot", type=click.Path(path_type=Path, dir_okay=False), help="Write the picture of a range to this file (.svg).")
@click.option("--part", default="", help="Which part of a result the picture shows. Without it: the first one.")
@click.pass_context
def command(context: click.Context, name: str, as_json: bool, plot: Path | None, part: str) -> None:
    """Twin of the functions that `fairtank.registry` lists as calculators."""
    if not name:
        _list(as_json)
        return
    question = asked(calculator_named(name), context.args)
    if plot is not None and plot.suffix.lower() != ".svg":
        raise InputError("--plot", plot, "a file name that ends in .svg")
    if part and (plot is None or not question.ranges):
        raise InputError("--part", part, "a part to draw, together with --plot and a range")
    told = _along(question, plot, part) if question.ranges else _once(question, plot)
    if as_json:
        click.echo(json.dumps(told[1], ensure_ascii=False))
        return
    for line in told[0]:
        click.echo(line)
    if plot is not None:
        click.echo(f"Picture: {plot}")


def _once(question: Asked, plot: Path | None) -> tuple[list[str], dict[str, Any]]:
    """One answer: for people and for machines. A claim check has a picture; a single number has none."""
    answer = answer_of(question)
    if plot is not None:
        if not isinstance(answer.result, Claim):
            raise InputError("--plot", plot, "a range for one or two inputs", "Write for example --ph 6:8:0.1.")
        _drawing().claim_draw(plot, answer.result)
    return answer_lines(question, answer), answer_json(question, answer)


def _along(question: Asked, plot: Path | None, part: str) -> tuple[list[str], dict[str, Any]]:
    """The answers along a range: for people and for machines; the picture is written."""
    table = table_of(question)
    if plot is not None:
        _drawing().range_draw(plot, table, part)
    return [*table_lines(table), *map(plain_spaces, notes_text(question.entry))], table_json(table)


def _drawing() -> Any:
    """What draws pictures, loaded only when one is wanted: it costs as much time as the answer."""
    return importlib.import_module("fairtank.cli.drawing")


def _list(as_json: bool) -> None:
    """All calculators, one a line, under their topics."""
    listed = [{"name": entry.key, "title": entry.title, "unit": entry.unit, "topic": topic.title}
              for topic in topics() for entry in topic.entries]
    if as_json:
        click.echo(json.dumps({"calculators": listed}, ensure_ascii=False))
        return
    width = max(len(row["name"]) for row in listed) + 2
    for topic in topics():
        click.echo(f"{topic.title}:")
        for entry in topic.entries:
            click.echo(f"  {entry.key:<{width}}{entry.title}{f' [{entry.unit}]' if entry.unit else ''}")
    click.echo("fairtank calc NAME --help tells what one takes, with an example.")


def _help(entry: Entry, context: click.Context) -> str:
    """What a calculator works out, what it takes, what it gives, its cautions and sources, and an example."""
    formatter = context.make_formatter()
    formatter.write_usage("fairtank calc", f"{entry.key} --INPUT VALUE ...")
    formatter.write_paragraph()
    formatter.write_text(f"{entry.title}{f' [{entry.unit}]' if entry.unit else ''}. {entry.summary}")
    with formatter.section("Inputs"):
        formatter.write_dl(inputs_told(entry))
    if entry.outputs:
        with formatter.section("Gives"):
            formatter.write_dl([(output.name, f"{output.label}{f' [{output.unit}]' if output.unit else ''}") for output in entry.outputs])
    for line in notes_text(entry):
        formatter.write_paragraph()
        formatter.write_text(plain_spaces(line))
    if example := example_of(entry):
        formatter.write_paragraph()
        formatter.write("Example:\n")  # on one line, so that it can be copied
        formatter.write(f"  {example}\n")
    return formatter.getvalue().rstrip("\n")
