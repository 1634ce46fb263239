"""Judge a trial: is the difference larger than two like tanks would show anyway?

Photos that are not measured yet are measured first. Writes findings.json, and spread.csv with what the trial adds for
later ones; with --json and no --out it only prints.

With --day the trial is judged as of one of its planned looks; later values are not seen.

Example: fairtank judge my-trial --json
"""

import sys
from pathlib import Path

import click

from fairtank.cli.options import Number, cluster_option, folder_argument, json_option, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.cli.reading import folder_tell
from fairtank.cli.telling import judged_tell
from fairtank.publish.findings_file import findings_text
from fairtank.records.services.trials import FINDINGS_FILE, SPREAD_FILE, trial_judge


@click.command("judge", help=__doc__)
@folder_argument
@out_option
@workers_option
@cluster_option
@json_option
@click.option("--day", type=Number(0, whole=True), help="A planned look: judge as of that day. Without it: all that was recorded.")
def command(folder: Path, out: Path | None, workers: int | None, cluster: str | None, as_json: bool, day: int | None) -> None:
    """Twin of `fairtank.records.services.trials.trial_judge`."""
    place = out if as_json else out_of(folder, out)
    with progress_shown("Measuring") as move:
        judged = trial_judge(root=folder, out=place, workers=workers, progress=move, cluster=cluster, day=day)
    if as_json:
        folder_tell(judged.folder, err=True)
        sys.stdout.write(findings_text(judged.findings, judged.folder.digest))
        return
    judged_tell(judged)
    click.echo(f"Findings: {out_of(folder, out) / FINDINGS_FILE}")
    if judged.entries:
        click.echo(f"How far its like tanks ended up apart, for later trials: {out_of(folder, out) / SPREAD_FILE}")
