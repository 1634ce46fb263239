"""Write the report of a trial: report.html, one file that holds everything, and report.pdf for print.

one-page.html and one-page.pdf tell the same on one page.

Example: fairtank report my-trial --out results
"""

from pathlib import Path

import click

from fairtank.cli.options import OneOf, cluster_option, folder_argument, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.cli.telling import files_tell, judged_tell
from fairtank.publish.content import PAPERS
from fairtank.records.services.trials import trial_report


@click.command("report", help=__doc__)
@folder_argument
@out_option
@workers_option
@cluster_option
@click.option("--paper", type=OneOf(PAPERS), default=PAPERS[0], show_default=True, help="What it is printed on.")
def command(folder: Path, out: Path | None, workers: int | None, cluster: str | None, paper: str) -> None:
    """Twin of `fairtank.records.services.trials.trial_report`."""
    with progress_shown("Measuring") as move:
        judged, files = trial_report(root=folder, out=out_of(folder, out), workers=workers, progress=move, cluster=cluster, paper=paper)
    judged_tell(judged)
    files_tell(files)
