"""Writing a folder: it reads back the same, and nothing half-written stays behind."""

import dataclasses
import shutil
from datetime import date, datetime

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.records.strokes import with_strokes

from fairtank.errors import InputError
from fairtank.records.folder import read_folder, write_folder, write_tables
from fairtank.records.folder.checks_readings import RANGES
from fairtank.records.folder.nouns import FIELDS
from fairtank.records.services.sealing import trial_seal
from fairtank.records.services.verifying import trial_verify
from fairtank.trial import Arm, BuildLine, Event, Label, Looks, MeasureChoice, Photo, Plan, Reading, Series, SpreadEntry, Unit

PLAN = Plan(title="Half the feeding", start=date(2026, 3, 1), days=42, kind="side_by_side",
            arms=(Arm("R", "reference"), Arm("C", "changed")), units=(Unit("T1", "R"), Unit("T 2", "C")),
            measures=(MeasureChoice("algae_cover", "primary"),))


@pytest.fixture
def folder(folder):
    """The small folder, its strokes painted with a hard brush."""
    return with_strokes(folder)


def tables_of(trial):
    return {field: getattr(trial, field) for field in FIELDS}


def same_but_place(trial, other):
    return dataclasses.replace(trial, root=other.root, digest=other.digest) == other


def test_a_whole_folder_reads_back_the_same(folder, tmp_path):
    trial = read_folder(folder.root)
    asked = []

    def picture(path):
        asked.append(path)
        return (folder.root / path).read_bytes()

    write_folder(tmp_path / "new" / "copy", trial.plan, picture=picture, labels=trial.labels, **tables_of(trial))
    copy = read_folder(tmp_path / "new" / "copy")
    assert same_but_place(trial, copy)
    assert asked == ["photos/T1-a.jpg", "photos/T1-b.png", "photos/T2-a.webp", "labels/T1-a.png"]
    assert [path.name for path in (tmp_path / "new").iterdir()] == ["copy"]


def test_a_second_writing_has_the_same_digest_to_the_byte(folder, tmp_path):
    first = folder.root
    digests = []
    for name in ("once", "twice"):
        trial = read_folder(first)
        write_folder(tmp_path / name, trial.plan, picture=lambda path, at=first: (at / path).read_bytes(), labels=trial.labels,
                     **tables_of(trial))
        first = tmp_path / name
        digests.append(read_folder(first).digest)
    assert digests[0] == digests[1]


def test_a_sealed_folder_stays_sealed_when_it_is_written_again(plain, tmp_path):
    trial_seal(root=plain.root)
    plain.swap("trial.toml", "margin = 0.5", "margin = 0.7")
    trial_seal(root=plain.root, reason="typed wrongly")
    text = (plain.root / "seal.json").read_text(encoding="utf-8").replace('{\n "form"', '{\n "stamp": "of a friend",\n "form"')
    plain.put("seal.json", text)
    trial = read_folder(plain.root)
    assert len(trial.seal.entries) == 2
    write_folder(tmp_path / "copy", trial.plan, seal=trial.seal, **tables_of(trial))
    assert (tmp_path / "copy" / "seal.json").read_text(encoding="utf-8") == text
    assert read_folder(tmp_path / "copy").seal == trial.seal
    write_folder(tmp_path / "unsealed", trial.plan, **tables_of(trial))
    assert not (tmp_path / "unsealed" / "seal.json").exists()


def test_the_lists_of_stamps_are_written_again_to_the_byte_and_a_missing_one_is_left_out(plain, tmp_path):
    trial_seal(root=plain.root)
    for value in ("4.5", "4.6"):
        plain.put("series.csv", f"unit,day,measure,value\nT1,1,algae_cover,5\nT2,1,algae_cover,{value}\n")
        trial_seal(root=plain.root, with_data=True, reason="typed wrongly")
    first, second = plain.root / "stamps" / "1.json", plain.root / "stamps" / "2.json"
    first.write_bytes(first.read_bytes() + b"\n\n")
    trial = read_folder(plain.root)
    write_folder(tmp_path / "copy", trial.plan, seal=trial.seal, **tables_of(trial))
    for path in (first, second):
        assert (tmp_path / "copy" / "stamps" / path.name).read_bytes() == path.read_bytes()
    assert not trial_verify(root=tmp_path / "copy").verified.unread
    first.unlink()
    trial = read_folder(plain.root)
    write_folder(tmp_path / "less", trial.plan, seal=trial.seal, **tables_of(trial))
    assert sorted(path.name for path in (tmp_path / "less" / "stamps").iterdir()) == ["2.json", "3.json"]


def test_unknown_columns_and_keys_are_written_back(plain, tmp_path):
    plain.swap("trial.toml", "[trial]", '[trial]\ncolour = {light = "6500 K", from = 2026-01-02}')
    plain.swap("trial.toml", "[design]", "weather = [[1, 2], [3]]\n[design]".replace("weather", "lamp"))
    plain.swap("trial.toml", 'name = "two glasses"', 'name = "two glasses"\n"odd key" = true')
    plain.put("trial.toml", 'shelf = 3\n' + (plain.root / "trial.toml").read_text() + '[more]\nk = [{a = 1}]\n')
    plain.put("series.csv", "who,unit,day,measure,value\nIo,T2,3,algae_cover,4.5\n,T1,3,algae_cover,5\n\"a \"\"b\"\", "
    "c\",T1,1,algae_cover,5\n")
    trial = read_folder(plain.root)
    assert len(trial.unknown_columns) == 6
    write_folder(tmp_path / "copy", trial.plan, unknown_cells=trial.unknown_cells, **tables_of(trial))
    copy = read_folder(tmp_path / "copy")
    assert sorted(copy.unknown_columns) == sorted(trial.unknown_columns)
    assert copy.unknown_cells["series.csv"] == trial.unknown_cells["series.csv"]
    assert copy.unknown_cells["trial.toml"][0] == trial.unknown_cells["trial.toml"][0]


def test_every_key_of_a_plan_reads_back(tmp_path):
    plan = Plan(
        title='A "dark" break', question="Why?\nAnd how?", change="lamp off at midday", reference="lamp on", rationale="r", keeper="Io",
        place="shed", disclosure="none", expect="more", start=date(2027, 12, 31), days=60, kind="swap", swap_day=30,
        washout_days=7, shared_water=True, drawn=True, seed=2**63 - 1, blinded=True,
        arms=(Arm("R", "reference", "as ever"), Arm("C", "changed")),
        units=(Unit("T1", "R", "tank 1", "left", "b1", "2", "p1", "r1", "R"), Unit("T2", "C", first_arm="C")),
        measures=(MeasureChoice("a", "primary", "swap", "log", 0.1 + 0.2, (0, 60)),
                  MeasureChoice("b", "secondary", "threshold", None, None, None, 5.0, "My own", "g")),
        looks=Looks((30, 60), (0.01, 1 / 30)),
    )
    values = [Series("T1", measure.key, (0,), (1.0,)) for measure in plan.measures]
    write_tables(tmp_path, plan, series=values)
    assert read_folder(tmp_path).plan == plan
    drawn = dataclasses.replace(plan, kind="drawn_start", swap_day=0, washout_days=0, start_window=(10, 23), drawn_day=15,
                                measures=(MeasureChoice("a", "primary", "change"),))
    write_folder(tmp_path / "drawn", drawn, series=values[:1])
    assert read_folder(tmp_path / "drawn").plan == drawn


@pytest.mark.parametrize("kind", ["side_by_side", "pairs", "rounds"])
def test_a_plan_of_one_day_reads_back(tmp_path, kind):
    units = (Unit("T1", "R", pair="a", round="1"), Unit("T2", "C", pair="a", round="1"))
    plan = dataclasses.replace(PLAN, days=0, kind=kind, units=units)
    write_folder(tmp_path / "trial", plan)
    assert read_folder(tmp_path / "trial").plan == plan


def test_tables_can_be_written_beside_pictures_that_are_there_already(folder):
    trial = read_folder(folder.root)
    folder.drop(*(table.file for table in FIELDS.values()), "trial.toml")
    write_tables(folder.root, trial.plan, **tables_of(trial))
    assert same_but_place(trial, read_folder(folder.root))


def test_a_folder_that_holds_something_is_left_alone(plain):
    before = plain.listing()
    with pytest.raises(InputError, match=r"accepted: a new or an empty folder\. Choose another name; nothing was written\."):
        write_folder(plain.root, PLAN)
    with pytest.raises(InputError, match=r"accepted: a folder without trial\.toml\. Nothing was written\."):
        write_tables(plain.root, PLAN)
    assert plain.listing() == before


def test_an_empty_folder_may_be_filled(tmp_path):
    (tmp_path / "here").mkdir()
    write_folder(tmp_path / "here", PLAN)
    assert read_folder(tmp_path / "here").plan == PLAN


def test_nothing_stays_behind_when_a_picture_fails(tmp_path):
    def picture(path):
        raise OSError("the card was pulled out")

    with pytest.raises(OSError, match="the card was pulled out"):
        write_folder(tmp_path / "trial", PLAN, picture=picture, photos=[Photo("p/a.jpg", "T1", datetime(2026, 3, 1), 0)])
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("path", ["../a.jpg", "/a.jpg", "p/../../a.jpg", "C:/a.jpg", "p\\a.jpg", "p//a.jpg", "p\na.jpg", ""])
def test_a_path_that_leads_out_is_never_written(tmp_path, path):
    with pytest.raises(InputError, match=r"a path is .*; accepted: a path inside the trial folder"):
        write_folder(tmp_path / "trial", PLAN, picture=lambda _: b"x", photos=[Photo(path, "T1", datetime(2026, 3, 1), 0)])
    with pytest.raises(InputError, match="a path is "):
        write_folder(tmp_path / "trial", PLAN, picture=lambda _: b"x", labels=[Label("a.jpg", path)])
    assert list(tmp_path.iterdir()) == []


def test_photos_without_a_source_of_pictures_are_refused(tmp_path):
    with pytest.raises(InputError, match=r"picture is left out; accepted: a function"):
        write_folder(tmp_path / "trial", PLAN, photos=[Photo("a.jpg", "T1", datetime(2026, 3, 1), 0)])


NUMBERS = st.floats(-1e9, 1e9, allow_nan=False)
SHARES = st.floats(0, 100)
POSITIVE = st.floats(1e-300, 1e300)
WORDS = st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs")), max_size=30).map(str.strip)
NAMED = WORDS.filter(bool)
QUANTITIES = NAMED.filter(lambda word: word.casefold() not in RANGES)
UNITS = st.sampled_from(("T1", "T 2"))
DAYS = st.integers(-60, 102)
TIMES = st.datetimes(datetime(2025, 12, 31), datetime(2026, 6, 11))


@st.composite
def events(draw):
    at, until = draw(TIMES), draw(st.none() | TIMES)
    if until is not None and until < at:
        at, until = until, at
    days = [(moment.date() - PLAN.start).days for moment in (at, until or at)]
    units = draw(st.sampled_from(((), ("T1",), ("T 2",), ("T1", "T 2"), ("T 2", "T1"))))
    return Event(units, at, until, *days, draw(WORDS), draw(WORDS), draw(st.sampled_from(("keep", "exclude_window", "exclude_unit"))))


@st.composite
def series(draw):
    made = []
    for unit in draw(st.sampled_from(((), ("T1",), ("T1", "T 2")))):
        days = sorted(draw(st.lists(DAYS, min_size=1, max_size=5)))
        values = tuple(draw(SHARES) for _ in days)
        made.append(Series(unit, "algae_cover", tuple(days), values, tuple(draw(st.none() | POSITIVE) for _ in days), ready_made=True))
    return tuple(made)


READINGS = st.builds(
    lambda unit, at, *rest: Reading(unit, at, (at.date() - PLAN.start).days, *rest),
    UNITS, TIMES, QUANTITIES, NUMBERS, NAMED, WORDS, st.booleans()).filter(lambda one: one.value > 0 or not one.below_detection)
SPREAD = st.builds(SpreadEntry, st.just("algae_cover"), st.just("log"), st.just("mean"), WORDS, WORDS, POSITIVE, POSITIVE, NAMED)
BUILD = st.builds(BuildLine, UNITS, NAMED, WORDS, st.none() | POSITIVE, st.none() | POSITIVE, WORDS, WORDS, WORDS)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(st.lists(events(), max_size=3), series(), st.lists(READINGS, max_size=3), st.lists(SPREAD, max_size=2),
       st.lists(BUILD, max_size=3), WORDS)
def test_whatever_is_written_reads_back_the_same(tmp_path, some_events, some_series, readings, spread, build, title):
    tables = {"events": tuple(some_events), "series": some_series, "readings": tuple(readings), "spread": tuple(spread),
              "build": tuple(build)}
    root = tmp_path / "trial"
    shutil.rmtree(root, ignore_errors=True)
    plan = dataclasses.replace(PLAN, title=title)
    write_folder(root, plan, **tables)
    trial = read_folder(root)
    assert trial.plan == plan
    assert {field: getattr(trial, field) for field in tables} == tables
