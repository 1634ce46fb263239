"""Trials of values without photos on a test's shelf, over or running, looked at early or scored blind."""

from datetime import date, timedelta

HEAD = """# remarks of the keeper stay
[trial]
title = "Two glasses (invented)"
question = "Does a second cover glass slow the algae?"
{more}
[design]
kind = "side_by_side"
start = {start}
days = 21
drawn = true
blinded = {blinded}
[[arm]]
key = "R"
role = "reference"
name = "one glass"
[[arm]]
key = "C"
role = "changed"
name = "two glasses"
"""
MEASURES = '[[measure]]\nkey = "algae_cover"\nrole = "primary"\n[[measure]]\nkey = "plant_cover"\nrole = "secondary"\n'
# What only days after the first look have: nowhere else does this stand.
LATE = 77.77
UNITS = tuple(f"T{number}" for number in range(1, 7))


def folder_write(root, *, day=40, values=True, until=21, looks="", blinded=False, readings=0, more=""):
    """A folder whose day is that one today; values on every third day, up to a day; from day 15 on algae are LATE in T1."""
    start = date.today() - timedelta(days=day)
    units = "".join(f'[[unit]]\nkey = "{unit}"\narm = "{"RC"[place % 2]}"\n' for place, unit in enumerate(UNITS))
    root.mkdir(parents=True)
    head = HEAD.format(start=start, blinded=str(blinded).lower(), more=more)
    (root / "trial.toml").write_text(head + units + MEASURES + looks, encoding="utf-8")
    if values:
        rows = [f"{unit},{at},{measure},{_value(unit, at, measure):.2f}" for measure in ("algae_cover", "plant_cover")
                for unit in UNITS for at in range(0, until + 1, 3)]
        (root / "series.csv").write_text("\n".join(("unit,day,measure,value", *rows)) + "\n", encoding="utf-8")
    if readings:
        rows = [f"{unit},{start + timedelta(days=at)}T18:00:00,temperature,{_warmth(place, at):.2f},°C"
                for at in range(min(day, 22)) for place, unit in enumerate(UNITS) for _again in range(readings)]
        (root / "readings.csv").write_text("\n".join(("unit,taken_at,quantity,value,unit_of_measure", *rows)) + "\n", encoding="utf-8")
    return root


def _warmth(place, at):
    return 25 + 0.03 * (at % 3) + 0.05 * place + (0.9 if at > 12 and place % 2 else 0)


def _value(unit, at, measure):
    if measure == "algae_cover" and unit == "T1" and at >= 15:
        return LATE
    number = UNITS.index(unit) + 1
    start, lean = (9, 0.8) if measure == "algae_cover" else (30, 0.1)
    return start + number % 2 * lean * at + 0.37 * number


def shelved(root, **more):
    """The trial of a folder, on the shelf."""
    from fairtank.records.services.importing import trial_import
    from fairtank.records.services.trail import KEEPER

    return trial_import(root=folder_write(root, **more), by=KEEPER)


def worked_out(trial, kind):
    """Do the work of a kind; the job, over."""
    from fairtank.records.jobs.queue import enqueue
    from fairtank.records.jobs.worker import work_once
    from fairtank.records.services.trail import KEEPER

    job = enqueue(kind=kind, trial=trial, by=KEEPER)
    assert work_once()
    job.refresh_from_db()
    trial.refresh_from_db()
    return job


def text_of(answer):
    """A page as text."""
    return answer.content.decode()


def sent(answer):
    """A file that is sent piece by piece, whole."""
    content = b"".join(answer.streaming_content)
    answer.close()
    return content
