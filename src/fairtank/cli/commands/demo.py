"""Make the invented demo trials, measure, judge and report them, and show the pages.

Six tanks answer whether a dark break at midday changes algae; two more tanks show what one tank each can tell.
The photos are rendered, so that their exact truth lies beside them (truth/truth.csv). Both trials are taken onto the shelf, marked as
invented, with what was found.

Example: fairtank demo --no-serve
"""

import fairtank.cli.set_up  # noqa: F401 - rows can be imported only after it

# isort: split
from pathlib import Path

import click

from fairtank.cli.options import port_option, workers_option
from fairtank.cli.pages import serve
from fairtank.cli.progress import progress_shown
from fairtank.cli.telling import files_tell, judged_tell
from fairtank.records.database import database_told, tables_ready
from fairtank.records.services.demo import demo_make
from fairtank.records.services.demo_shelving import demo_shelve
from fairtank.records.services.trials import trial_run
from fairtank.simulation import scenario, scenario_names


@click.command("demo", help=__doc__)
@click.option("--folder", type=click.Path(path_type=Path), default=Path("demo"), show_default=True, help="Where the demo folders go.")
@click.option("--no-serve", is_flag=True, help="Stop after the reports.")
@port_option
@workers_option
def command(folder: Path, no_serve: bool, port: int, workers: int | None) -> None:
    """Twin of `fairtank.records.services.demo.demo_make` and `trials.trial_run`."""
    for name in scenario_names():
        root = folder / name
        _made(name, root, workers)
        with progress_shown("Measuring") as move:
            judged, files = trial_run(root=root, out=root / "out", workers=workers, progress=move)
        judged_tell(judged)
        files_tell(files)
        tables_ready()
        with database_told(), progress_shown("Taking onto the shelf") as move:
            demo_shelve(root=root, judged=judged, progress=move)
    if not no_serve:
        first = folder / scenario_names()[0]
        serve(first, first / "out", port)


def _made(name: str, root: Path, workers: int | None) -> None:
    """Make a demo folder; its title is told as soon as its place was accepted, and before anything is rendered."""
    plan = scenario(name).plan
    titled: list[str] = []

    def title() -> None:
        if not titled:
            titled.append(plan.title)
            click.secho(f"\n{plan.title}", bold=True)
            click.echo(plan.question)

    with progress_shown("Rendering") as move:

        def told(done: int, total: int) -> None:
            title()
            move(done, total)

        demo_make(name=name, root=root, workers=workers, progress=told)
    title()
