"""Files that nobody wrote in good faith, or that a tool spoilt: each is refused in a sentence, none costs memory or a crash."""

import os
import tracemalloc

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.records.strokes import with_strokes

from fairtank.errors import FolderError
from fairtank.records.folder import read_folder
from fairtank.records.folder.tables import TABLES


@pytest.fixture
def folder(folder):
    """The small folder, its strokes painted with a hard brush."""
    return with_strokes(folder)

CONTENTS = [
    ("series.csv", b"unit,day\nT1,\0", "series.csv, row 2: holds a NUL byte; accepted: UTF-8 text without control characters."),
    ("series.csv", b"unit,day\nT1,\x1b[2J", "series.csv, row 2: holds the control character number 27; "
     "accepted: UTF-8 text without control characters."),
    ("series.csv", "unit,day,measure,value\n".encode("utf-16"), "series.csv: is UTF-16 text; accepted: UTF-8 text (save the "
     "file again as CSV UTF-8)."),
    ("series.csv", "unit,day\nT1,2\nKübel,3".encode("latin-1"), "series.csv, row 3: byte number 16 of the file is not UTF-8 text "
     "(perhaps saved in an older encoding); accepted: UTF-8 text (save the file again as CSV UTF-8)."),
    ("series.csv", b"", "series.csv: the file is empty (0 bytes); accepted: an ordinary file of at most 20 MB."),
    ("trial.toml", "title = 'Kübel'".encode("latin-1"), "trial.toml, line 1: byte number 11 of the file is not UTF-8 text "
     "(perhaps saved in an older encoding); accepted: UTF-8 text (save the file again as CSV UTF-8)."),
]


@pytest.mark.parametrize(("file", "content", "sentence"), CONTENTS)
def test_bytes_that_are_no_text_are_refused_with_their_row(plain, file, content, sentence):
    plain.put(file, content)
    assert plain.sentence() == sentence


@pytest.mark.parametrize(("file", "size", "sentence"), [
    ("series.csv", 100_000_000, "series.csv: the file is 100 MB long; accepted: an ordinary file of at most 20 MB."),
    ("trial.toml", 1_500_000, "trial.toml: the file is 1.5 MB long; accepted: an ordinary file of at most 1 MB."),
])
def test_an_over_long_file_is_refused_unread(plain, file, size, sentence):
    os.truncate(plain.root / file, size)
    tracemalloc.start()
    try:
        assert plain.sentence() == sentence
        assert tracemalloc.get_traced_memory()[1] < 5_000_000
    finally:
        tracemalloc.stop()


def test_a_linked_table_is_refused(plain, tmp_path):
    (plain.root / "series.csv").rename(tmp_path / "series.csv")
    (plain.root / "series.csv").symlink_to(tmp_path / "series.csv")
    assert plain.sentence() == ("series.csv: the file is a link to another place, or lies behind one; "
                                "accepted: an ordinary file of at most 20 MB.")


def test_a_dangling_link_is_refused_too(plain):
    (plain.root / "events.csv").symlink_to("nowhere.csv")
    assert "is a link to another place" in plain.sentence()


def test_a_linked_folder_of_labels_is_refused(folder, tmp_path):
    (folder.root / "labels").rename(tmp_path / "labels")
    (folder.root / "labels").symlink_to(tmp_path / "labels")
    assert "labels: the folder is a link to another place; accepted: an ordinary folder." in folder.sentences()


def test_a_pipe_in_place_of_a_table_does_not_hang(plain):
    os.mkfifo(plain.root / "events.csv")
    assert plain.sentence() == "events.csv: the file is not an ordinary file; accepted: an ordinary file of at most 20 MB."


def test_what_was_read_is_shown_short_and_on_one_line(plain):
    plain.put("series.csv", 'unit,day,measure,value\n"' + "T\n" * 500 + '",0,algae_cover,1\n')
    sentence = plain.sentence()
    assert len(sentence) < 250
    assert "\n" not in sentence


def test_a_file_name_that_is_no_text_is_refused_in_a_sentence_that_can_be_printed(folder):
    (folder.root / "labels" / os.fsdecode(b"T1-\xff.png")).write_bytes(b"x")
    (folder.root / os.fsdecode(b"\xff.csv")).write_bytes(b"x")
    for sentence in folder.sentences():
        assert sentence.encode("utf-8").startswith("labels/T1-\N{REPLACEMENT CHARACTER}.png: ".encode())
    assert len(folder.sentences()) == 2


RARELY_SLOW = settings(max_examples=60, deadline=None,
                       suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.filter_too_much])
CELLS = st.sampled_from([
    "T1", "T2", "", "0", "-1", "1e9", "algae_cover", "plant", "2026-03-02", "2026-03-02T10:00", "photos/T1-a.jpg", "*", "T1;T2", "keep",
    "front", "fixed", "0 0; 1 0; 1 1", '"', '""', "a", "true", "nan", "..", "\u202e", "９", "x" * 90, ";", "log", "mean",
])


def read_or_refuse(root):
    """Reading either succeeds or raises FolderError with at least one whole sentence."""
    problems = ()
    try:
        read_folder(root)
    except FolderError as error:
        problems = error.problems or ("a refusal without a reason",)
    assert all(str(problem).endswith(".") and "\n" not in str(problem) for problem in problems)


@RARELY_SLOW
@given(st.sampled_from(["trial.toml", *(table.file for table in TABLES)]), st.binary(min_size=1, max_size=300))
def test_arbitrary_bytes_raise_nothing_but_a_refusal(folder, file, content):
    folder_again = (folder.root / file).read_bytes()
    folder.put(file, content)
    read_or_refuse(folder.root)
    folder.put(file, folder_again)


@settings(RARELY_SLOW, max_examples=120)
@given(st.sampled_from(TABLES), st.lists(st.lists(CELLS, min_size=14, max_size=14), max_size=4))
def test_arbitrary_cells_under_the_right_header_raise_nothing_but_a_refusal(folder, table, rows):
    folder_again = (folder.root / table.file).read_bytes()
    names = [column.name for column in table.columns]
    folder.put(table.file, "\n".join([",".join(names), *(",".join(row[: len(names)]) for row in rows)]) + "\n")
    read_or_refuse(folder.root)
    folder.put(table.file, folder_again)


VALUES = st.recursive(
    st.sampled_from(["true", "-1", "0", "42", "1e400", "nan", '"R"', '"T1"', '"swap"', '"x\\u0000"', "2026-03-01", "1979-05-27T07:32:00Z",
                     "07:32:00", "0xffffffffffffffffffffffffff", "[]", "{}"]),
    lambda inner: st.lists(inner, max_size=3).map(lambda values: "[" + ", ".join(values) + "]"), max_leaves=4)


@settings(RARELY_SLOW, max_examples=120)
@given(st.lists(st.tuples(st.integers(0, 40), VALUES), min_size=1, max_size=4))
def test_arbitrary_values_in_the_plan_raise_nothing_but_a_refusal(plain, changes):
    text = (plain.root / "trial.toml").read_bytes()
    lines = text.decode().splitlines()
    for number, value in changes:
        line = lines[number % len(lines)]
        lines[number % len(lines)] = f"{line.split(' = ')[0]} = {value}" if " = " in line else line
    plain.put("trial.toml", "\n".join(lines))
    read_or_refuse(plain.root)
    plain.put("trial.toml", text)
