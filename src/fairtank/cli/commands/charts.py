"""Write the charts of a finished trial as pictures for an article, a post or a video.

They are those of the finding and the report, what each planned look said, and what the plan could show. They land in the folder `charts`
of the results, sorted by shape and theme. With --series the curves come once more as one picture a day, numbered, with the same axes
throughout.

Example: fairtank charts my-trial --shape wide --theme dark --as png --series
"""

from pathlib import Path

import click

from fairtank.cli.options import OneOf, cluster_option, folder_argument, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.publish.chart_export.files import FORMS, ChartWishes
from fairtank.publish.chart_export.inks import THEMES
from fairtank.publish.chart_export.shapes import SHAPES
from fairtank.records.services.charting import FOLDER, charts_write
from fairtank.records.services.trials import trial_judge

ALL, BOTH = "all", "both"


@click.command("charts", help=__doc__)
@folder_argument
@out_option
@click.option("--shape", type=OneOf((*SHAPES, ALL)), default="page", show_default=True,
              help="page: for a page of text; wide: 1920 by 1080; tall: 1080 by 1920; square: 1080 by 1080.")
@click.option("--theme", type=OneOf((*THEMES, ALL)), default="light", show_default=True,
              help="What lies behind: light or dark paper; nothing, for a light or for a dark picture beneath.")
@click.option("--as", "form", type=OneOf((*FORMS, BOTH)), default=BOTH, show_default=True, help="Form of the files.")
@click.option("--series", is_flag=True, help="The curves as one PNG a day too.")
@workers_option
@cluster_option
def command(folder: Path, out: Path | None, shape: str, theme: str, form: str, series: bool, workers: int | None,
            cluster: str | None) -> None:
    """Twin of `fairtank.records.services.charting.charts_write`."""
    wishes = ChartWishes(tuple(SHAPES) if shape == ALL else (shape,), THEMES if theme == ALL else (theme,),
                         FORMS if form == BOTH else (form,), series)
    place = out_of(folder, out)
    with progress_shown("Measuring") as move:
        judged = trial_judge(root=folder, out=place, workers=workers, progress=move, cluster=cluster)
    written = charts_write(judged=judged, out=place, wishes=wishes)
    click.echo(f"{len(written)} pictures: {place / FOLDER}")
