"""What a command says when it is done: the sentence first, then where things lie."""

import click

from fairtank.publish.content import ReportFiles
from fairtank.publish.sentences import sentence
from fairtank.records.services.trials import JudgedTrial


def judged_tell(judged: JudgedTrial) -> None:
    """Print the trial's sentence, the other measures' sentences, and what was left out of the photos."""
    for finding in judged.findings:
        click.echo(sentence(finding) if finding.role == "primary" else f"  {finding.title}: {sentence(finding)}")
    for caution in judged.measured.cautions:
        click.echo(caution)
    columns = ", ".join(f"{column} ({file})" for file, column in judged.folder.unknown_columns)
    if columns:
        click.echo(f"Kept but not used: {columns}.")


def files_tell(files: ReportFiles) -> None:
    """Print where the report lies."""
    click.echo(f"Report: {files.html}")
    click.echo(f"        {files.pdf}")
