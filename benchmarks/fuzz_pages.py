"""Try every form, every address and everything scripts send with thousands of odd values: no answer may be a failure, nothing half stored.

    python benchmarks/fuzz_pages.py [--cases 12000] [--seed 1] [--only NAME] [--record]

A small shelf is filled (`fuzz_shelf.py`), its pages are walked from the list of addresses on, and every form that is found in them is
sent with
values drawn by hypothesis (`page_values.py`): as it stands, with some fields changed, left out or doubled, with files that are not what
their name says; every address with odd queries and odd parts; what scripts send with parts replaced. Each case is undone before the next.
After each it is asked: was the answer no failure and in time; did what was refused change nothing; do rows that were changed obey their
rules, is the shelf as `fairtank check` wants it, are the page it came from and the one it leads to still shown; and of every fifth
change, can
the trial be written as a folder and be read again. The same on a home network with a phone, and on a server with accounts.
"""

import argparse
import logging
import os
import shutil
import tempfile
import time
import traceback
import zlib
from collections import Counter
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from random import Random
from typing import Any
from urllib.parse import parse_qsl, quote, urlsplit

from fuzz_shelf import LINKS, house, shelf_fill, tables_made
from page_values import form_case, json_case, odd_words, parts_of, query_case, query_of
from recording import circumstances, told

SLOW_S, WEIGHTS = 2.0, {"get": 1, "path": 1, "form": 3, "json": 12}
SHARES = {"own": 0.8, "lan": 0.07, "hosted": 0.13}
# What a look at a page may leave behind: who is logged in, and what was said last; wrong links that were counted.
# A round is begun by what is sent first, and kept entry by entry: what was in order stays, and the page comes again for the rest.
BY_ENTRY = ("round", "round_photo")
QUIET = ("django_session", "records_attempt")


class Trials:
    """One house being tried: its rows as they are before each case, and what was found."""

    def __init__(self, clients: Sequence[Any], seed: int) -> None:
        from django.apps import apps
        from django.core.signals import got_request_exception
        from fuzz_targets import Target

        from fairtank.records.services.checking import shelf_check

        self.clients, self.seed = clients, seed
        self.kept_cookies = [{key: part.value for key, part in client.cookies.items()} for client in clients]
        self.models = [model for model in apps.get_models() if model._meta.db_table not in QUIET]
        self.counts, self.families, self.faults = Counter[str](), Counter[str](), dict[str, str]()
        self.fault_counts = Counter[str]()
        self.changes, self.slowest, self.raised = 0, (0.0, ""), ""
        got_request_exception.connect(self._noted)
        self.before = self.rows()
        self.faults_before = set(shelf_check().faults)
        for sentence in sorted(self.faults_before):
            self.fault("the shelf as it was filled and walked", Target("check", "get", ""), sentence)

    def _noted(self, **_: Any) -> None:
        self.raised = traceback.format_exc()

    def rows(self) -> dict[str, dict[Any, tuple[Any, ...]]]:
        """Every row of every table."""
        from django.db import connection

        found = {}
        with connection.cursor() as cursor:
            for model in self.models:
                rows = cursor.execute(f'SELECT * FROM "{model._meta.db_table}"').fetchall()
                found[model._meta.label] = {row[0]: row for row in rows}
        return found

    def sent(self, target: Any, address: str, how: dict[str, Any]) -> None:
        """One case: send it, look at what became of it, undo it."""
        from django.db import connection, transaction

        self.families[target.family] += 1
        if sum(self.families.values()) % 500 == 0:
            print(f"{sum(self.families.values())} cases, {time.process_time():.0f} s of CPU", flush=True)
        with transaction.atomic():
            client, self.raised = self.clients[target.client], ""
            client.cookies.clear()
            client.cookies.load(self.kept_cookies[target.client])
            writes, start = connection.connection.total_changes, time.process_time()
            try:
                answer = client.generic(path=address, **how)
                b"".join(answer.streaming_content) if answer.streaming else answer.content
                answer.close()
                status = answer.status_code
            except Exception:
                answer, status, self.raised = None, 599, traceback.format_exc()
            took = time.process_time() - start
            said = f"{how['method']} {address[:200]} {how.get('data', b'')[:600]!r}"
            self.slowest = max(self.slowest, (took, said[:300]))
            self.counts[str(status)] += 1
            if took > SLOW_S:
                self.fault("slow", target, f"{took:.1f} s: {said}")
            if status >= 500:
                self.fault(f"failed: {_last(self.raised)}", target, f"{said}\n{self.raised}")
            elif connection.connection.total_changes != writes:
                self.changed(target, how["method"], answer, status, said)
            transaction.set_rollback(True)

    def changed(self, target: Any, method: str, answer: Any, status: int, said: str) -> None:
        """Something was written: may it be there, and is it whole?"""
        after = self.rows()
        new = {label: [key for key, row in rows.items() if self.before[label].get(key) != row] for label, rows in after.items()}
        labels = sorted({label for label,
                         keys in new.items() if keys} | {label for label in after if set(self.before[label]) - set(after[label])})
        if not labels:
            return
        self.changes += 1
        self.counts["changed"] += 1
        if method == "GET" and labels:
            self.fault(f"a look changed {', '.join(labels)}", target, said)
        if status >= 400 and target.family not in BY_ENTRY:
            self.fault(f"refused, and yet changed {', '.join(labels)}", target, f"{status} {said}")
        self._whole(target, new, said)
        _out_of_step()
        places = [target.page, answer.headers.get("Location", "")]
        for place in dict.fromkeys(place for place in places if place.startswith("/")):
            self.raised = ""
            shown = self.clients[target.client].get(place)
            b"".join(shown.streaming_content) if shown.streaming else shown.content
            shown.close()
            if shown.status_code >= 500:
                self.fault(f"the page afterwards: {_last(self.raised)}", target, f"{place} after {said}\n{self.raised}")
        _out_of_step()

    def _whole(self, target: Any, new: dict[str, list[Any]], said: str) -> None:
        from django.apps import apps
        from django.core.exceptions import ValidationError

        from fairtank.records.models import Trial
        from fairtank.records.services.checking import shelf_check

        for label, keys in new.items():
            if not label.startswith("records."):
                continue
            for row in apps.get_model(label)._base_manager.filter(pk__in=keys):
                try:
                    row.full_clean()
                except ValidationError as error:
                    self.fault(f"a row of {label} that its own rules refuse: {sorted(error.message_dict)}", target, f"{error} {said}")
        checked = shelf_check()
        for sentence in set(checked.faults) - self.faults_before:
            self.fault(f"check: {sentence[:60]}", target, f"{sentence} {said}")
        if self.changes % 5 == 0:
            for trial in Trial.everything.filter(pk__in=_trials_of(new), planned=True):
                try:
                    _read_again(trial)
                except Exception as error:
                    self.fault(f"cannot be read again: {type(error).__name__} {str(error)[:60]}", target,
                               f"{said}\n{traceback.format_exc()}")

    def fault(self, kind: str, target: Any, said: str) -> None:
        """Keep the first of each sort, and count them."""
        name = f"{target.family}: {kind}"
        self.fault_counts[name] += 1
        if name not in self.faults:
            print(f"---- {name}\n{said[-2500:]}\n", flush=True)
        self.faults.setdefault(name, said)


def _last(raised: str) -> str:
    """What was raised, and where in our own files."""
    lines = raised.strip().splitlines()
    where = [line.strip() for line in lines if "/fairtank/" in line and line.strip().startswith("File")]
    place = where[-1].split("/fairtank/")[-1].replace('"', "") if where else ""
    return f"{lines[-1][:80] if lines else '?'} ({place})"


def _trials_of(new: dict[str, list[Any]]) -> set[int]:
    from django.apps import apps

    found = set(new.get("records.Trial", []))
    for label, keys in new.items():
        model = apps.get_model(label)
        if keys and any(one.name == "trial" for one in model._meta.get_fields()):
            found |= set(model._base_manager.filter(pk__in=keys).values_list("trial", flat=True))
    return found - {None}


def _out_of_step() -> None:
    """What was written of a trial that is undone now must not be taken for it: a folder beside the rows is brought in step anew."""
    from django.conf import settings

    for place in Path(settings.DATA).glob("derived/trials/*/*/state.json"):
        place.unlink(missing_ok=True)


def _read_again(trial: Any) -> None:
    from fairtank.records.folder.reader import read_folder
    from fairtank.records.folder.undrawn import with_arms
    from fairtank.records.services.exporting import trial_export

    with tempfile.TemporaryDirectory() as place:
        read_folder(trial_export(trial=trial, root=Path(place) / "out"), reworded=with_arms, frames_may_wait=True)


@contextmanager
def _filled() -> Iterator[dict[str, str]]:
    """A filled shelf; it is gone afterwards."""
    from django.conf import settings
    from django.db import transaction

    with tempfile.TemporaryDirectory(prefix="fuzz-pages-") as place, transaction.atomic():
        settings.DATA = Path(place) / "data"
        (settings.DATA / "photos").mkdir(parents=True)
        yield shelf_fill(Path(place))
        transaction.set_rollback(True)


@contextmanager
def _lived_in(name: str, trials: dict[str, str]) -> Iterator[list[Any]]:
    """The clients of one house; what was made for it is undone."""
    from django.db import transaction

    with transaction.atomic(), house(name, trials) as clients:
        yield clients
        transaction.set_rollback(True)


def targets_of(name: str, clients: Sequence[Any], trials: dict[str, str]) -> tuple[list[Any], list[str], set[str]]:
    """What is to be tried in a house; failures met on the way; names of addresses that were not reached."""
    from fuzz_targets import SCRIPT_FORMS, SCRIPTS, Target, Walk, all_names, left_over, name_of, starts
    from page_forms import Field, Form

    from fairtank.records.models import Photo

    walk = Walk(clients, starts([trials[word] for word in ("running", "measured", "planned", "blind", "over", "begun", "closed")], LINKS))
    now = datetime.now().replace(microsecond=0).isoformat()
    if name == "own":
        running, measured = f"/trials/{trials['running']}/", f"/trials/{trials['measured']}/"
        painted = [f"{measured}labels/{photo.pk}/" for photo in Photo.objects.filter(trial__slug=trials["measured"])[:2]]
        for address in (f"{running}round/entries/", *(f"{place}{what}" for place in painted for what in ("store", "teach"))):
            good = _filled_in(SCRIPTS[name_of(address)], now)
            walk.script(Target(name_of(address), "json", address, address.rsplit("/", 2)[0] + "/", 0, None, good))
        for key, pairs in SCRIPT_FORMS.items():
            fields = [Field(field, "text", value) for field, value in pairs]
            form = Form(f"{running}round/photo/", "post", True, (*fields, Field("photo", "file")))
            walk.script(Target(key, "form", form.action, f"{running}round/", 0, form))
    missed = all_names() - walk.reached
    rest = left_over(missed, [trials[word] for word in ("running", "measured", "over")]) if name == "own" else []
    found = [*walk.targets.values(), *rest]
    found += [Target(one.family, "path", one.address, one.page, one.client) for one in found if one.way == "get" and one.form is None]
    return found, walk.faults, missed


def _filled_in(good: Any, now: str) -> Any:
    if isinstance(good, dict):
        return {key: _filled_in(part, now) for key, part in good.items()}
    if isinstance(good, list):
        return [_filled_in(part, now) for part in good]
    return good.replace("{now}", now) if isinstance(good, str) else good


def tried(state: Trials, target: Any, known: Sequence[str], names: Sequence[str], count: int) -> None:
    """A number of cases of one target."""
    from hypothesis import HealthCheck, Phase, given, seed, settings
    from hypothesis import strategies as st

    parts = urlsplit(target.address)
    kept = parse_qsl(parts.query, keep_blank_values=True)

    @seed(zlib.crc32(f"{state.seed} {target.way} {target.client} {target.family} {parts.path}".encode()))
    @settings(max_examples=count, database=None, deadline=None, phases=[Phase.generate], suppress_health_check=list(HealthCheck))
    @given(st.data())
    def one(data: st.DataObject) -> None:
        how: dict[str, Any] = {"method": "GET"}
        if data.draw(st.integers(0, 7)) == 0:
            how["headers"] = {"HX-Request": "true", "Accept-Language": data.draw(st.sampled_from(("de", "\xff", "x" * 500, "en")))}
        if target.way == "form":
            pairs, uploads = data.draw(form_case(target.form, known))
            many = target.form.has_files
            address = target.address
            how |= {"method": "POST", "data": parts_of(pairs, uploads) if many else query_of(pairs).encode(),
                    "content_type": "multipart/form-data; boundary=EdgeOfAPart" if many else "application/x-www-form-urlencoded"}
        elif target.way == "json":
            address = target.address
            how |= {"method": "POST", "data": data.draw(json_case(target.good)), "content_type": "application/json"}
        elif target.way == "path":
            pieces = parts.path.split("/")
            place = data.draw(st.integers(1, max(len(pieces) - 2, 1)))
            pieces[place] = quote(data.draw(odd_words(known)), safe="", errors="surrogatepass")[:3000]
            address = "/".join(pieces)
            how["method"] = data.draw(st.sampled_from(("GET", "GET", "POST", "HEAD", "PUT")))
        else:
            own = [field.name for field in target.form.fields] if target.form else []
            address = parts.path + "?" + query_of(data.draw(query_case([*names, *own * 3], target.form.kept() if target.form else kept,
                known)))
        state.sent(target, address, how)

    one()


class Run:
    """What all houses together gave."""

    def __init__(self, cases: int, seed: int, only: str, minutes: float) -> None:
        self.cases, self.seed, self.only, self.minutes, self.start = cases, seed, only, minutes, time.monotonic()
        self.answers, self.families, self.counts = Counter[str](), Counter[str](), Counter[str]()
        self.targets, self.faults, self.slowest = dict[str, int](), dict[str, str](), (0.0, "")
        self.unreached: set[str] | None = None
        self.is_cut = False

    def lived(self, name: str, clients: Sequence[Any], trials: dict[str, str], names: Sequence[str]) -> None:
        """All cases of one house."""
        targets, walked, missed = targets_of(name, clients, trials)
        targets = [one for one in targets if self.only in one.family]
        print(f"{name}: {len(targets)} targets after {time.monotonic() - self.start:.0f} s", flush=True)
        self.unreached = missed if self.unreached is None else self.unreached & missed
        self.faults |= {f"walk: {sentence}": sentence for sentence in walked}
        state, known = Trials(clients, self.seed), [*trials.values(), *_keys_known()]
        unit = self.cases * SHARES[name] / max(sum(WEIGHTS[one.way] for one in targets), 1)
        Random(self.seed).shuffle(targets)  # so that a run which is stopped early has tried some of everything
        for target in targets:
            if self.minutes and time.monotonic() - self.start > 60 * self.minutes:
                self.is_cut = True
                break
            tried(state, target, known, names, max(round(unit * WEIGHTS[target.way]), 1))
        self.targets[name] = len(targets)
        self.answers += state.counts
        self.families += state.families
        self.faults |= state.faults
        self.counts += state.fault_counts
        self.slowest = max(self.slowest, state.slowest)

    def row(self) -> dict[str, Any]:
        """As it is recorded."""
        return {"cases": sum(self.families.values()), "seed": self.seed, "was_cut_short": self.is_cut, "targets": self.targets,
                "answers": dict(sorted(self.answers.items())), "families": dict(sorted(self.families.items())),
                "not_reached": sorted(self.unreached or ()), "faults": len(self.faults),
                "found": {key: self.counts[key] for key in self.faults}, "slowest_s": self.slowest[0], "slowest": self.slowest[1][:160],
                "seconds": time.monotonic() - self.start, "cpu_s": time.process_time()}


def run(cases: int, seed: int, only: str, houses: Sequence[str], minutes: float) -> dict[str, Any]:
    """The houses, one after another."""
    from fuzz_targets import query_names

    names = query_names(Path(__file__).resolve().parent.parent / "src" / "fairtank" / "web")
    made = Run(cases, seed, only, minutes)
    with _filled() as trials:
        print(f"shelf filled after {time.monotonic() - made.start:.0f} s", flush=True)
        for name in houses:
            with _lived_in(name, trials) as clients:
                for client in clients:
                    client.raise_request_exception = False
                made.lived(name, clients, trials, names)
    for fault in made.faults:
        print(f"{fault} (x {made.counts[fault]})")
    return made.row()


def _keys_known() -> list[str]:
    """Numbers and words of rows of every trial."""
    from fairtank.records.models import Arm, Measure, Photo, Unit

    return [*map(str, Photo.objects.values_list("pk", flat=True)[:20]), *map(str, Unit.objects.values_list("pk", flat=True)[:20]),
            *Measure.objects.values_list("key", flat=True)[:10], *Arm.objects.values_list("key", flat=True)[:6]]


def main() -> None:
    """Print what failed, and the counts."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--cases", type=int, default=12_000)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", default="", help="only addresses with this in their name")
    parser.add_argument("--houses", default=",".join(SHARES), help="which of them")
    parser.add_argument("--minutes", type=float, default=0, help="stop after so long, and tell how many cases that were")
    parser.add_argument("--record", action="store_true", help="add the JSON line to results/fuzz-pages.jsonl")
    options = parser.parse_args()
    before, data = circumstances(), Path(tempfile.mkdtemp(prefix="fuzz-pages-data-"))
    try:
        tables_made(data)
        logging.disable(logging.CRITICAL)
        row = run(options.cases, options.seed, options.only, options.houses.split(","), options.minutes)
    finally:
        shutil.rmtree(data, ignore_errors=True)
    told("fuzz-pages", before, row, record=options.record)


if __name__ == "__main__":
    os.environ.setdefault("PYTHONHASHSEED", "0")
    main()
