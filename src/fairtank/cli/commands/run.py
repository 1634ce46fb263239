"""Measure, judge and report a trial folder in one go.

Example: fairtank run my-trial --out results
"""

from pathlib import Path

import click

from fairtank.cli.options import cluster_option, folder_argument, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.cli.telling import files_tell, judged_tell
from fairtank.records.services.trials import trial_run


@click.command("run", help=__doc__)
@folder_argument
@out_option
@workers_option
@cluster_option
def command(folder: Path, out: Path | None, workers: int | None, cluster: str | None) -> None:
    """Twin of `fairtank.records.services.trials.trial_run`."""
    with progress_shown("Measuring") as move:
        judged, files = trial_run(root=folder, out=out_of(folder, out), workers=workers, progress=move, cluster=cluster)
    judged_tell(judged)
    files_tell(files)
