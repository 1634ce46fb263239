"""What a command says first about the folder it read: what it keeps and does not use, and what was probably not meant."""

import click

from fairtank.trial import TrialFolder


def folder_tell(folder: TrialFolder, *, err: bool = False) -> None:
    """Print it, on standard error where standard output holds one JSON object; nothing where there is nothing to say."""
    unknown_tell(folder.unknown_columns, err=err)
    for caution in folder.cautions:
        click.echo(f"Look once more: {caution}", err=err)


def unknown_tell(unknown: tuple[tuple[str, str], ...], *, err: bool = False) -> None:
    """Print which keys and columns are kept and not used: they change nothing, which may not be what their writer thinks."""
    columns = ", ".join(f"{column} ({file})" for file, column in unknown)
    if columns:
        click.echo(f"Kept but not used: {columns}.", err=err)
