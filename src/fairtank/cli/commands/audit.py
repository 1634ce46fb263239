"""Check the map of plants and algae by eye: random points to look at, blind to tank and day.

Without --take it measures what is not measured yet, draws further points and writes a sheet to answer in a browser, the same points as
pictures, an empty answers.csv and the key. With --take it reads the answers back, writes audit.csv and says how far the map is off in each
arm.

Example: fairtank audit my-trial, and later: fairtank audit my-trial --take answers.csv
"""

from pathlib import Path

import click

from fairtank.cli.options import Number, folder_argument, workers_option
from fairtank.cli.progress import progress_shown
from fairtank.publish.audit_words import audit_sentences, needed_words, shared_sentences
from fairtank.records.audit_files import ANSWERS_FILE, KEY_FILE, SHEET_FILE
from fairtank.records.services.auditing import MOST_POINTS, DrawnAudit, TakenAudit, audit_draw, audit_take


@click.command("audit", help=__doc__)
@folder_argument
@click.option("--points", type=Number(2, MOST_POINTS, whole=True), default=200, show_default=True,
              help=f"New points to draw in all, 2 to {MOST_POINTS}; each arm gets as many.")
@click.option("--seed", type=Number(0, 2**32 - 1, whole=True), default=1, show_default=True,
              help="Seed of the draw: the same folder and seed give the same points.")
@click.option("--take", type=click.Path(path_type=Path), help="Answers to read back: the file that the sheet saved, or answers.csv filled.")
@click.option("--out", type=click.Path(path_type=Path), help="Where the audit lies. Without it: the folder `audit` in the trial folder.")
@workers_option
@click.pass_context
def command(context: click.Context, folder: Path, points: int, seed: int, take: Path | None, out: Path | None, workers: int | None) -> None:
    """Twin of `fairtank.records.services.auditing.audit_draw` and `audit_take`."""
    if take is not None:
        for name in ("points", "seed"):
            if context.get_parameter_source(name) is click.core.ParameterSource.COMMANDLINE:
                raise click.UsageError(f"--{name} belongs to drawing points and cannot stand beside --take.")
        with progress_shown("Measuring") as move:
            taken = audit_take(root=folder, answers=take, out=out, workers=workers, progress=move)
        for line in taken_words(taken, folder):
            click.echo(line)
        return
    with progress_shown("Measuring") as move, progress_shown("Drawing points") as cut:
        drawn = audit_draw(root=folder, out=out, points=points, seed=seed, workers=workers, progress=move, cropping=cut)
    for line in drawn_words(drawn, folder):
        click.echo(line)


def drawn_words(drawn: DrawnAudit, folder: Path) -> list[str]:
    """What was drawn, and what to do next."""
    arms = ", ".join(f"{count} in {label}" for label, count in drawn.by_arm)
    more = "" if drawn.new == drawn.points else f", {drawn.points} with those drawn before"
    return [
        f"{drawn.new} points drawn{more} ({arms}), in {drawn.photos} photos, in shuffled order.",
        f"Open {drawn.place / SHEET_FILE} in a browser and answer; or look at the pictures beside it and fill in "
        f"{drawn.place / ANSWERS_FILE}.",
        f"Leave {drawn.place / KEY_FILE} closed until all answers are in: it tells which photo each point is from.",
        f"Then: fairtank audit {folder} --take answers.csv",
    ]


def taken_words(taken: TakenAudit, folder: Path) -> list[str]:
    """What was taken, what the answers say, and how many more points would help."""
    counts = f"{taken.new} {'answer' if taken.new == 1 else 'answers'} taken"
    if taken.replaced:
        counts += f", {taken.replaced} earlier {'one' if taken.replaced == 1 else 'ones'} replaced"
    if not taken.new and not taken.replaced:
        counts = "No new answer was found"
    left = f"; {taken.open} points are still open" if taken.open else ""
    told = [f"{counts}{left}."]
    for result in taken.results.values():
        told += audit_sentences(result, taken.labels)
    if taken.results:
        told += shared_sentences(next(iter(taken.results.values())))
        needed = needed_words(taken.results)
        told += [needed.replace("FOLDER", str(folder))] if needed else []
    elif taken.new or taken.replaced:
        told.append("The photos have no map of plants and algae to compare with: paint strokes in labels/ and run this again.")
    return [*told, *([f"Answers: {taken.place}"] if taken.place.exists() else [])]
