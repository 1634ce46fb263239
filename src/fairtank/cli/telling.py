"""What a command says when it is done: the sentence first, then where things lie."""

import click

from fairtank.cli.reading import folder_tell
from fairtank.publish.content import ReportFiles
from fairtank.publish.numbers import shown
from fairtank.publish.sentences import sentence
from fairtank.publish.two_changes_words import interaction_words
from fairtank.records.services.trials import JudgedTrial


def judged_tell(judged: JudgedTrial) -> None:
    """Print what was read besides, the sentence of each measure, the primary one's cautions, and what was left out of the photos."""
    folder_tell(judged.folder)
    for finding in judged.findings:
        click.echo(sentence(finding) if finding.role == "primary" else f"  {finding.title}: {sentence(finding)}")
    primary = [finding for finding in judged.findings if finding.role == "primary"]
    together = (interaction_words(finding) for finding in primary if finding.design == "two_changes")
    for text in dict.fromkeys((*together, *(f"Caution: {shown(caution)}" for finding in primary for caution in finding.cautions))):
        if text:
            click.echo(text)
    for caution in judged.measured.cautions:
        click.echo(caution)


def files_tell(files: ReportFiles) -> None:
    """Print where the report lies."""
    first, *others = files.all
    click.echo(f"Report: {first}")
    for place in others:
        click.echo(f"        {place}")
