"""The fairtank command: finds its commands, starts the one that was asked for, and turns every error into a sentence.

A command is a file in `commands/` named like it, holding a click command called `command`. It is imported only when it is
called: its title in the list of commands is the first line of its docstring, read without importing it.
"""

from fairtank.cli.stopping import EXIT_CODE, ctrl_c_watched

# isort: split
# Above: before anything that takes time to load, so that Ctrl-C is quiet from the start.
import ast
import gc
import importlib
import keyword
import os
import sys
from pathlib import Path
from threading import Event
from typing import NoReturn

import click

from fairtank import __version__
from fairtank.cli.options import did_you_mean
from fairtank.errors import FairtankError, plain_reason

_COMMANDS = Path(__file__).parent / "commands"
# In the order in which a keeper meets them.
_ORDER = ("demo", "example", "plan", "even", "detect", "forecast", "draw", "build", "schedule", "cards", "lens", "seal", "verify",
          "watch", "strokes", "run", "measure", "audit", "judge", "report", "charts", "film", "words", "kit", "site", "repeat", "pool",
          "spread", "serve", "phone", "import", "export", "backup", "restore", "check", "account", "worker", "calc")


class Commands(click.Group):
    """The group of all commands, imported one at a time."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Names of the commands: those of the files."""
        names = [path.stem.rstrip("_") for path in _COMMANDS.glob("*.py") if path.stem != "__init__"]
        return sorted(names, key=lambda name: (_ORDER.index(name) if name in _ORDER else len(_ORDER), name))

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of that name, imported now; None when there is none."""
        if cmd_name not in self.list_commands(ctx):
            return None
        gc.disable()  # what is imported stays: looking through it meanwhile is a tenth of the wait
        try:
            command: click.Command = importlib.import_module(f"fairtank.cli.commands.{_file(cmd_name)}").command
        finally:
            gc.enable()
        return command

    def resolve_command(self, ctx: click.Context, args: list[str]) -> tuple[str | None, click.Command | None, list[str]]:
        """The command that the first word names; a word that is none is answered with the one that was probably meant."""
        word, names = args[0], self.list_commands(ctx)
        if word not in names and not word.startswith("-"):
            if Path(word).exists():
                ctx.fail(f"No such command '{word}'. It is a folder or a file: a command stands before it, such as fairtank judge {word}")
            ctx.fail(f"No such command '{word}'.{did_you_mean(word, names) or ' The commands: ' + ', '.join(names) + '.'}")
        return super().resolve_command(ctx, args)

    def format_help(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands with their titles, without importing any of them."""
        self.format_usage(ctx, formatter)
        formatter.write_paragraph()
        formatter.write_text("Plan, record, measure, judge and publish fair side-by-side trials of planted aquariums.")
        with formatter.section("Commands"):
            formatter.write_dl([(name, command_title(name)) for name in self.list_commands(ctx)])
        formatter.write_paragraph()
        formatter.write_text("fairtank COMMAND --help tells more, with an example. New here? Start with: fairtank demo")


def command_title(name: str) -> str:
    """First line of a command's docstring."""
    tree = ast.parse((_COMMANDS / f"{_file(name)}.py").read_text(encoding="utf-8"))
    return (ast.get_docstring(tree) or "").splitlines()[0]


def _file(name: str) -> str:
    """The file of a command, without its ending; a name that Python keeps for itself has a mark behind it there."""
    return f"{name}_" if keyword.iskeyword(name) else name


@click.group(cls=Commands, no_args_is_help=True, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="fairtank", message="%(prog)s %(version)s")
def app() -> None:
    """The fairtank command."""


def main() -> None:
    """Run the command line; the exit code is 0 when done, 1 for refused input, 2 for wrong usage, 130 after Ctrl-C."""
    try:
        with ctrl_c_watched() as pressed:
            _run(pressed)
    except KeyboardInterrupt:
        sys.exit(EXIT_CODE)


def _run(pressed: Event) -> None:
    """Run the command that was asked for and turn what goes wrong into a sentence and an exit code."""
    try:
        code = app.main(prog_name="fairtank", standalone_mode=False)
        sys.exit(code if isinstance(code, int) else 0)
    except (KeyboardInterrupt, click.Abort):
        sys.exit(EXIT_CODE)
    except Exception as error:
        if pressed.is_set():  # a library that was interrupted while it loaded may say so in its own way
            sys.exit(EXIT_CODE)
        _tell(error)


def _tell(error: Exception) -> None:
    """Say what went wrong in a sentence, and leave with the exit code that belongs to it."""
    if isinstance(error, click.exceptions.NoArgsIsHelpError):
        click.echo(error.format_message())
        sys.exit(2)
    if isinstance(error, click.ClickException):
        error.show(file=sys.stderr)
        sys.exit(2)
    if isinstance(error, FairtankError):
        _refuse(str(error))
    if isinstance(error, BrokenPipeError):
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(1)
    if isinstance(error, OSError):
        _refuse(f"{error.filename or 'A file'} could not be used: {plain_reason(error)}.")
    if os.environ.get("FAIRTANK_DEBUG"):
        raise error
    _refuse(f"fairtank stopped because of a mistake of its own ({type(error).__name__}: {error}). Set FAIRTANK_DEBUG=1 to see where.")


def _refuse(sentence: str) -> NoReturn:
    """Say why on standard error; refused input exits with 1."""
    print(sentence, file=sys.stderr)
    sys.exit(1)
