"""Judge a trial: is the difference larger than two like tanks would show anyway?

Photos that are not measured yet are measured first. Writes findings.json; with --json and no --out it only prints.

Example: fairtank judge my-trial --json
"""

import sys
from pathlib import Path

import click

from fairtank.cli.options import folder_argument, json_option, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.cli.telling import judged_tell
from fairtank.publish.findings_file import findings_text
from fairtank.records.services.trials import FINDINGS_FILE, trial_judge


@click.command("judge", help=__doc__)
@folder_argument
@out_option
@workers_option
@json_option
def command(folder: Path, out: Path | None, workers: int | None, as_json: bool) -> None:
    """Twin of `fairtank.records.services.trials.trial_judge`."""
    place = out if as_json else out_of(folder, out)
    with progress_shown("Measuring") as move:
        judged = trial_judge(root=folder, out=place, workers=workers, progress=move)
    if as_json:
        sys.stdout.write(findings_text(judged.findings, judged.folder.digest))
        return
    judged_tell(judged)
    click.echo(f"Findings: {out_of(folder, out) / FINDINGS_FILE}")
