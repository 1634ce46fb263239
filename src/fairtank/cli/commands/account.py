"""Accounts of a hosted installation: make one, give it another password, list them, close one.

The first account looks after the installation. A password is asked for twice and not shown, or read from standard input. Nothing is sent
by mail: a forgotten password is replaced here.

Example: fairtank account add ida
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
import sys

import click

from fairtank.records.database import database_told, tables_ready
from fairtank.records.selectors.people import accounts_shown
from fairtank.records.services.accounts import account_add, account_close, account_named, password_change
from fairtank.records.services.trail import By

_BY = By("terminal")
_password = click.option("--password-from", "source", metavar="-", type=click.Choice(["-"]), help="Read the password from standard input.")


@click.group("account", help=__doc__)
def command() -> None:
    """Twin of `fairtank.records.services.accounts`."""
    tables_ready()


@command.command("add")
@click.argument("name")
@click.option("--keeper", is_flag=True, help="Also looks after the installation: settings, backup, accounts.")
@click.option("--no-trials", is_flag=True, help="May not begin trials of its own.")
@_password
def add(name: str, keeper: bool, no_trials: bool, source: str | None) -> None:
    """Make an account; the first one looks after the installation."""
    with database_told():
        is_first = not accounts_shown()
        user = account_add(name=name, password=_asked(source), by=_BY, begins_trials=not no_trials, is_keeper=keeper or is_first)
    click.echo(f"{user.username} can log in now{' and looks after the installation' if user.is_superuser else ''}.")


@command.command("password")
@click.argument("name")
@_password
def password(name: str, source: str | None) -> None:
    """Give an account another password; it is logged out everywhere."""
    with database_told():
        password_change(user=account_named(name), password=_asked(source), by=_BY)
    click.echo(f"{name} has another password, and is logged out everywhere.")


@command.command("list")
def listed() -> None:
    """Show all accounts."""
    with database_told():
        for user in accounts_shown():
            what = "looks after the installation" if user.is_superuser else "begins trials" if user.is_staff else "was invited"
            click.echo(f"{user.username}: {what}{'' if user.is_active else ', closed'}")


@command.command("close")
@click.argument("name")
@click.option("--open", "again", is_flag=True, help="Open it again.")
def close(name: str, again: bool) -> None:
    """Let an account in no more; what it recorded stays."""
    with database_told():
        account_close(user=account_named(name), by=_BY, is_closed=not again)
    click.echo(f"{name} is let in {'again' if again else 'no more'}.")


def _asked(source: str | None) -> str:
    if source == "-":
        return sys.stdin.readline().rstrip("\r\n")
    answer: str = click.prompt("Password", hide_input=True, confirmation_prompt="The same once more")
    return answer
