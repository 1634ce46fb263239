"""Write the report of a trial: report.html, one file that holds everything, and report.pdf for print.

Example: fairtank report my-trial --out results
"""

from pathlib import Path

import click

from fairtank.cli.options import cluster_option, folder_argument, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.cli.telling import files_tell, judged_tell
from fairtank.records.services.trials import trial_report


@click.command("report", help=__doc__)
@folder_argument
@out_option
@workers_option
@cluster_option
def command(folder: Path, out: Path | None, workers: int | None, cluster: str | None) -> None:
    """Twin of `fairtank.records.services.trials.trial_report`."""
    with progress_shown("Measuring") as move:
        judged, files = trial_report(root=folder, out=out_of(folder, out), workers=workers, progress=move, cluster=cluster)
    judged_tell(judged)
    files_tell(files)
