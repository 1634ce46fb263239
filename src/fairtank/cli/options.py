"""Arguments and options that several commands share, each described once, and what a number or a word of an option may be."""

import difflib
import math
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import click

from fairtank.errors import InputError
from fairtank.records.cluster import address_check


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """A question after the word that was probably meant, with a blank before it; empty where none is near."""
    near = difflib.get_close_matches(word, list(known), 1, 0.6)
    return f" Did you mean '{near[0]}'?" if near else ""


class Number(click.ParamType):
    """A number from low to high, both of them allowed; whole: without decimals. Refused in plain words."""

    name = "number"

    def __init__(self, low: float | None = None, high: float | None = None, *, whole: bool = False) -> None:
        self.low, self.high, self.whole = low, high, whole

    @property
    def accepted(self) -> str:
        """What may stand there, in words."""
        noun = "a whole number" if self.whole else "a number"
        if self.high is not None:
            return f"{noun} from {self.low or 0:g} to {self.high if isinstance(self.high, int) else f'{self.high:.12g}'}"
        return f"{noun} of {self.low:g} or more" if self.low is not None else noun

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> int | float:
        """The number; anything else is wrong usage."""
        try:
            number = int(value) if self.whole else float(value)
        except ValueError:
            point = str(value).replace(",", ".")
            hint = f" (with a decimal point: {point})" if "," in str(value) and not self.whole and _is_number(point) else ""
            self.fail(f"'{value}' is not {self.accepted}{hint}.", param, ctx)
        if not math.isfinite(number) or (self.low is not None and number < self.low) or (self.high is not None and number > self.high):
            self.fail(f"{value} is out of range; accepted: {self.accepted}.", param, ctx)
        return number


def _is_number(text: str) -> bool:
    try:
        return math.isfinite(float(text))
    except ValueError:
        return False


class OneOf(click.Choice[str]):
    """One of a few words; a misspelt one is answered with the word that was probably meant."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """The word; anything else is wrong usage."""
        try:
            return super().convert(value, param, ctx)
        except click.BadParameter as error:
            self.fail(f"{error.message}{did_you_mean(str(value), self.choices)}", param, ctx)


@contextmanager
def options_named(names: Mapping[str, str]) -> Iterator[None]:
    """Inside, a refused value is told by the option it came from, not by the name it has further in."""
    try:
        yield
    except InputError as error:
        if error.name not in names:
            raise
        value = f"{error.value:.12g}" if isinstance(error.value, float) else error.value
        raise type(error)(names[error.name], value, error.accepted, error.hint) from error


folder_argument = click.argument("folder", type=click.Path(path_type=Path))
out_option = click.option(
    "--out", type=click.Path(path_type=Path), help="Where results go. Without it: the folder `out` inside the trial folder."
)
workers_option = click.option("--workers", type=Number(1, 64, whole=True),
                              help="Processes that measure photos, 1 to 64. Without it: one per core.")


def _address(context: click.Context, parameter: click.Parameter, value: str | None) -> str | None:
    """An address that has the form of one; anything else is wrong usage, also where nothing is left to measure."""
    if value is not None:
        try:
            address_check(value)
        except InputError as error:
            raise click.BadParameter(f"'{value}' is not {error.accepted}. {error.hint}", context, parameter) from error
    return value


cluster_option = click.option(
    "--cluster", metavar="ADDRESS", callback=_address,
    help="Dask scheduler whose workers measure photos instead of this computer, such as tcp://192.168.1.20:8786. Private networks only.",
)
json_option = click.option("--json", "as_json", is_flag=True, help="Print one JSON object on standard output and nothing else there.")
port_option = click.option(
    "--port", type=Number(0, 65535, whole=True), default=8321, show_default=True,
    help="Where the pages listen on this computer, 0 to 65535; 0 takes any free port.",
)


def out_of(folder: Path, out: Path | None) -> Path:
    """Where results go: the folder that was named, else `out` inside the trial folder."""
    return out if out is not None else folder / "out"
