"""The same on PostgreSQL: some of the tests of the shelf, and a backup that comes back."""

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.records.postgres import postgres_url  # noqa: F401 - a fixture

_HERE = Path(__file__).resolve().parent
# What differs between databases: times, JSON, unique constraints with a condition, references that are held.
_SAME = ("test_working.py",)
_CHOSEN = "clock or half_way or tank_whose or own_form or changes_in_the_folder or first_day or on_its_way"
_LIFE = """
import json, sys
from pathlib import Path
import fairtank.cli.set_up
from fairtank.records.database import tables_ready
from fairtank.records.models import Reading, Trial
from fairtank.records.rows.texts import texts_of
from fairtank.records.services.backing_up import shelf_backup
from fairtank.records.services.checking import shelf_check
from fairtank.records.services.importing import trial_import
from fairtank.records.services.restoring import shelf_restore
from fairtank.records.services.trail import KEEPER
from fairtank.records.services.trash import trial_forget

root, place = map(Path, sys.argv[1:])
tables_ready()
trial = trial_import(root=root, by=KEEPER)
before = texts_of(trial)
made = shelf_backup(path=place)
trial_forget(trial)
empty = Trial.objects.count()
told = shelf_restore(path=place)
after = Trial.objects.get()
more = trial_import(root=root, by=KEEPER)  # keys go on after those that came back
print(json.dumps({"photos": made.photos, "empty": empty, "restored": [told.trials, told.photos], "same": texts_of(after) == before,
                  "readings": Reading.objects.filter(trial=after).count(), "faults": shelf_check().faults, "more": more.pk > after.pk}))
"""


def _apart(url, place, *words):
    variables = {**os.environ, "DATABASE_URL": url, "FAIRTANK_DATA": str(place / "data"), "DJANGO_SETTINGS_MODULE": "fairtank.settings"}
    done = subprocess.run([sys.executable, *words], capture_output=True, encoding="utf-8", env=variables, timeout=240, check=False,
                          cwd=_HERE.parent.parent)
    assert done.returncode == 0, done.stdout[-3000:] + done.stderr[-3000:]
    return done.stdout


def test_tests_of_the_shelf_pass_on_postgresql(postgres_url, tmp_path):  # noqa: F811 - the fixture again
    files = [str(_HERE / name) for name in _SAME]
    told = _apart(postgres_url, tmp_path, "-m", "pytest", "-q", "-n0", "-p", "no:cacheprovider", "-k", _CHOSEN, *files)
    count = int(told.rsplit(" passed", 1)[0].split()[-1])
    assert count >= 4
    assert "skipped" not in told


def test_a_backup_comes_back_on_postgresql(postgres_url, tmp_path):  # noqa: F811 - the fixture again
    from tests.records.shelved import made_once

    told = json.loads(_apart(postgres_url, tmp_path, "-c", _LIFE, str(made_once()), str(tmp_path / "shelf.zip")))
    assert told == {"photos": 5, "empty": 0, "restored": [1, 5], "same": True, "readings": 2, "faults": [], "more": True}
