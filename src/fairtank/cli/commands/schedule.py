"""What is to be done today, what is overdue, and the whole plan by day: a list to tick, a table, and a file for the phone's calendar.

Reads schedule.toml; a folder without one gets a proposal made from trial.toml and setup.toml, which you then change to fit. What was done
is known from chores.csv, from the photos and from the readings. After a slip all that is not done yet moves; what was done stays, and so
do the days that are judged.

Example: fairtank schedule my-trial --slip today --by 2 --reason "ill in bed"
"""

import sys
from pathlib import Path

import click

from fairtank.cli.options import Number, folder_argument, json_option, out_of, out_option
from fairtank.cli.reading import folder_tell
from fairtank.publish.schedule_words import (
    ahead_words,
    caution_keys,
    day_words,
    light_words,
    minutes_words,
    missed_words,
    overdue_words,
    slip_words,
    today_words,
    touched_words,
)
from fairtank.records.services.scheduling import ScheduledTrial, schedule_json, trial_schedule
from fairtank.science.cautions import CAUTIONS, LAST_WORD


@click.command("schedule", help=__doc__)
@folder_argument
@out_option
@click.option("--day", default="today", show_default=True, help="Which day's list: today, a date, or a day of the trial such as 10.")
@click.option("--slip", metavar="DAY", help="From this day on all that is not done yet moves: today, a date, or a day of the trial.")
@click.option("--by", "by_days", type=Number(1, 365, whole=True), help="By how many days it moves, with --slip.")
@click.option("--reason", help="Why it slipped, with --slip; it is kept in schedule.toml.")
@click.option("--alarm", type=Number(0, 1440, whole=True), metavar="MINUTES", help="Let the calendar remind you so many minutes before.")
@json_option
def command(folder: Path, out: Path | None, day: str, slip: str | None, by_days: int | None, reason: str | None, alarm: int | None,
            as_json: bool) -> None:
    """Twin of `fairtank.records.services.scheduling.trial_schedule`; with --json and without --out only a slip is written."""
    if slip is None and (by_days is not None or reason is not None):
        raise click.UsageError("--by and --reason belong to --slip DAY, the first day that slipped.")
    scheduled = trial_schedule(root=folder, out=out if as_json else out_of(folder, out), day=day, slip=slip, by_days=by_days,
                               reason=reason, alarm_min=alarm)
    folder_tell(scheduled.folder, err=as_json)
    if as_json:
        sys.stdout.write(schedule_json(scheduled))
        return
    for sentence in said(scheduled):
        click.echo(sentence)


def said(scheduled: ScheduledTrial) -> list[str]:
    """What the command answers: the day, its list, what is overdue, what comes, what slipped, and where things lie."""
    folder, plan, found = scheduled.folder, scheduled.plan, scheduled.today
    told = []
    if scheduled.is_written:
        told.append("There was no schedule.toml: a proposal was written. Change times, days and minutes in it to fit, and call this again.")
    if scheduled.slip is not None:
        told += [*slip_words(folder.slips, scheduled.schedule, only=len(folder.slips)),
                 *touched_words(scheduled.schedule.touched, len(folder.slips), is_sealed=folder.seal is not None)]
    told.append(f"{day_words(scheduled.day, scheduled.date, plan)}.")
    told += today_words(found, plan) if 0 <= scheduled.day <= plan.days or found.today else []
    if found.today:
        told += light_words(folder.setup)
        titles = [CAUTIONS[key].title.lower() for key in caution_keys((state.task.chore for state in found.today), folder.setup)]
        told += [f"Mind: {', '.join(titles)}; the last page of the plan by day tells what. {LAST_WORD}"] if titles else []
    told += [*overdue_words(found, plan), *missed_words(found), *ahead_words(found, plan)]
    minutes = sum(state.task.minutes for state in scheduled.states)
    told += [f"Work in all: about {minutes_words(minutes)}."] if minutes else []
    if scheduled.files is not None:
        told += [f"Plan by day: {scheduled.files.pages}", f"             {scheduled.files.table}",
                 f"Calendar:    {scheduled.files.calendar}"]
    return told
