"""Make a film of a trial: every day's photos beside each other, the curve growing along, the finding at its end; and its stills.

The trial must have been read. Up to six tanks are shown, the arms named or hidden until the end. Writes the film, a poster, each tank's
first and last day, and all of them in one picture. A trial of six weeks gives a film of about 25 seconds.

Example: fairtank film my-trial --shape tall --arms "at the end"
"""

from pathlib import Path

import click

from fairtank.cli.options import Number, OneOf, folder_argument, options_named, out_of, out_option, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.cli.reading import folder_tell
from fairtank.publish.film import wishes as film
from fairtank.records.services.filming import film_make
from fairtank.records.services.trials import trial_judge

_OPTIONS = {"The tanks in the film": "--tank", "The order of the tanks": "--order", "Seconds for each day": "--seconds-per-day"}


@click.command("film", help=__doc__)
@folder_argument
@click.option("--shape", type=OneOf(tuple(film.SHAPES)), default="wide", show_default=True,
              help="wide (16:9), tall (9:16) for phones, or square.")
@click.option("--size", type=OneOf(tuple(film.SIZES)), default="1080p", show_default=True, help="Px of the short side: 1080 or 2160.")
@click.option("--as", "form", type=OneOf(film.FORMATS), default="mp4", show_default=True,
              help="mp4 (H.264) plays everywhere; webm is VP9, and needs about 1 GB of memory in 4k.")
@click.option("--arms", type=OneOf(film.ARMS), default=film.SHOWN, show_default=True,
              help="Name the arms all along, or after the last day, or never; until then tanks have codes.")
@click.option("--order", type=OneOf(film.ORDERS), help="Tanks as in the plan or arm by arm. Without it: by arm where the arms are shown.")
@click.option("--tank", "tanks", multiple=True, help="A tank that is shown; say it again for each further one. Without it: all of them.")
@click.option("--seconds-per-day", type=Number(film.FEWEST_SECONDS_PER_DAY, film.MOST_SECONDS_PER_DAY),
              help="How long a day is shown, 0.1 to 5. Without it: all days together take about 10 s.")
@click.option("--date/--no-date", default=False, help="Show the date beside the day, or not (usual).")
@click.option("--captions/--no-captions", default=True, help="Tell water changes, trims and other events from the diary (usual), or not.")
@click.option("--curve/--no-curve", default=True, help="Let the curve of the primary measure grow along (usual), or not.")
@click.option("--cards/--no-cards", default=True, help="Show the question before and the finding behind the days (usual), or not.")
@click.option("--seal-line/--no-seal-line", default=True, help="Tell the code of the seal in a small line (usual), or not.")
@workers_option
@out_option
def command(folder: Path, out: Path | None, workers: int | None, tanks: tuple[str, ...], order: str | None, **chosen: object) -> None:
    """Twin of `fairtank.records.services.filming.film_make`."""
    wished = film.FilmWishes(units=tanks, order=order or "", **chosen)  # type: ignore[arg-type]
    place = out_of(folder, out)
    with progress_shown("Measuring") as move:
        judged = trial_judge(root=folder, out=place, workers=workers, progress=move)
    folder_tell(judged.folder)
    with options_named(_OPTIONS), progress_shown("Filming", "frames") as move:
        files = film_make(judged=judged, out=place, wishes=wished, progress=move)
    width, height = files.size_px
    click.echo(f"Film: {files.film}")
    click.echo(f"      {files.timeline.seconds:.0f} s, {width} x {height} px")
    click.echo(f"Poster: {files.poster_jpg}")
    click.echo(f"First and last day of every tank: {files.before_after}")
