"""A small trial with every table, photos and strokes, judged by values that are made up: nothing is measured for it."""

import math
from datetime import date, datetime, timedelta
from functools import cache
from io import BytesIO

import numpy as np
from PIL import Image
from tests.records.placed_photos import exif

from fairtank.inference import judge
from fairtank.records.audited import audit_told
from fairtank.records.drawn import draw_told
from fairtank.records.folder import read_folder
from fairtank.records.sealed import seal_told, sealed_plan
from fairtank.records.services.measuring import MeasuredTrial
from fairtank.records.services.trials import JudgedTrial
from fairtank.records.snapshot import series_of
from fairtank.trial import Measured, PhotoQuality

TODAY = date(2026, 7, 1)
START = date(2026, 3, 1)
UNITS, DAYS = ("T1", "T2", "T3", "T4"), (0, 5, 10, 25)
WIDE, HIGH = 1600, 160
PLAN = """# a remark of the keeper
[trial]
title = "Less light, less algae (invented)"
question = "Does less light slow the algae?"
change = "six hours of light"
reference = "eight hours of light"
keeper = "Ottavine Sarrow"
[design]
kind = "side_by_side"
start = 2026-03-01
days = 25
drawn = true
[[arm]]
key = "R"
role = "reference"
name = "eight hours"
[[arm]]
key = "C"
role = "changed"
name = "six hours"
UNITS_HERE
[[measure]]
key = "algae_cover"
role = "primary"
margin = 0.5
[[measure]]
key = "plant_cover"
[[measure]]
key = "weight"
unit_of_measure = "g"
""".replace("UNITS_HERE", "".join(
    f'[[unit]]\nkey = "{unit}"\narm = "{"RC"[place % 2]}"\nposition = "place {place + 1}"\n' for place, unit in enumerate(UNITS)))
TABLES = {
    "photos.csv": "photo,unit,taken_at,mood\n" + "".join(f"photos/{unit}-{day:02d}.jpg,{unit},{START + timedelta(days=day)}T18:00,{day}\n"
                                                       for day in DAYS for unit in UNITS),
    "frames.csv": "unit,reference_photo,mode,view,x1,y1,x2,y2,x3,y3,x4,y4,width_cm,height_cm\n" + "".join(
        f"{unit},photos/{unit}-00.jpg,fixed,front,100,20,1500,20,1500,150,100,150,60,36\n" for unit in UNITS),
    "zones.csv": "unit,zone,kind,polygon\nT1,carpet,floor,0 28; 60 28; 60 36; 0 36\n",
    "labels/classes.csv": "class,r,g,b,counts_as\nplant,0,158,115,\nalgae,213,94,0,\nbackground,86,180,233,\n",
    "audit.csv": "photo,x,y,class,rater\n" + "".join(f"photos/{unit}-{day:02d}.jpg,{200 + 40 * number},{10 + 20 * number},"
                                                   f"{('algae', 'plant', 'background')[number % 3]},Ines\n"
                                                   for unit in UNITS for day in DAYS[:3] for number in range(6)),
    "readings.csv": "unit,taken_at,quantity,value,unit_of_measure,method,below_detection\n"
                    "T1,2026-03-02T18:00:00,no3,+12.5,mg/L,drops,yes\n",
    "events.csv": "units,at,until,kind,note,effect,weather\nT3,2026-03-10,2026-03-11,lamp,\"off, two days\",exclude_window,grey\n"
                  ",2026-03-07T19:00:00,,water change,,,\n",
    "series.csv": "unit,day,measure,value,se,who\n" + "".join(f"{unit},25,weight,{7.5 + place + 0.1 * (place % 2)},0.1,me\n"
                                                            for place, unit in enumerate(UNITS)),
    "spread.csv": "measure,scale,summary,window_class,tank_class,variance,df,trial\nalgae_cover,logit,mean,25 to 34 days,,0.04,4,last "
                  "year\n",
    "build.csv": "unit,material,kind,planned,weighed,unit_of_measure,batch,note\nT1,fine sand,substrate,4.50,4.48,kg,A,\n",
    "cards.csv": "unit,card,code\nT1,17,WUM\nT2,0,KAL\n",
    "lens.csv": "camera,focal_px,k1,k2,residual_px,pictures,units\nphone,1512.4,-0.03120,0.00810,0.081,6,\n",
    "chores.csv": "unit,chore,kind,due,done_at,minutes,quantity,amount,unit_of_measure,by,note\nT1,,trim,12,2026-03-13T10:00,5,,,,Ines,\n",
    "factors.csv": "unit,factor,value,unit_of_measure,note\n,window_side,no daylight,,\n",
    "notes.md": "Mine alone.\n",
}  # fmt: skip


@cache
def photo(number, with_place):
    """A flat picture of the keeper's phone."""
    out = BytesIO()
    Image.new("RGB", (WIDE, HIGH), (40 + 8 * number, 90, 60)).save(out, "JPEG", quality=30, **({"exif": exif(1)} if with_place else {}))
    return out.getvalue()


@cache
def strokes():
    painted = np.zeros((HIGH, WIDE, 4), np.uint8)
    for place, colour in enumerate(((0, 158, 115), (213, 94, 0), (86, 180, 233))):
        painted[30 + 30 * place, 200:900] = (*colour, 255)  # one px thin
    out = BytesIO()
    Image.fromarray(painted, "RGBA").save(out, "PNG")
    return out.getvalue()


def kit_trial(root, *, places=0, more=None, plan=PLAN):
    """The folder; so many of its photos carry a place."""
    texts = {"trial.toml": plan, **TABLES, **(more or {})}
    for path, text in texts.items():
        if text is not None:
            (root / path).parent.mkdir(parents=True, exist_ok=True)
            (root / path).write_text(text, encoding="utf-8")
    (root / "photos").mkdir(exist_ok=True)
    for number, (day, unit) in enumerate((day, unit) for day in DAYS for unit in UNITS):
        (root / f"photos/{unit}-{day:02d}.jpg").write_bytes(photo(number, number < places))
    (root / "labels/T1-00.png").write_bytes(strokes())
    return root


def judged_by_hand(root):
    """The folder judged by made-up values of its photos: as `trial_judge`, with nothing measured."""
    folder = read_folder(root)
    rows, qualities = [], []
    for number, one in enumerate(folder.photos):
        is_used = number % 7 != 3
        points = sum(point.photo == one.path for point in folder.audit)
        qualities.append(PhotoQuality(one.path, one.unit, one.day, "usable" if is_used else "not usable", (), None, 10.0, 0.01, 0.5, 0.1,
                                      "1-a",
                                      map_at_audit="apb"[number % 3:].ljust(points, "b")[:points]))
        for measure, base in (("algae_cover", 3.0), ("plant_cover", 40.0), ("haze", 5.0)):
            value = base + math.sqrt(number + 1) * (1.3 if one.unit in ("T1", "T3") else 0.9) / 3
            if is_used:
                rows.append(Measured(one.path, one.unit, datetime.combine(START, datetime.min.time()), one.day, measure, "", value, "%",
                                     value / 7 if number % 2 else None, "usable", "1-a"))
    measured = MeasuredTrial(tuple(rows), tuple(qualities))
    series = series_of(folder, measured)
    found = judge(sealed_plan(folder), series, folder.events, earlier=folder.spread, today=(TODAY - START).days)
    return JudgedTrial(folder, measured, series, draw_told(folder, seal_told(folder, audit_told(folder, measured, found))))
