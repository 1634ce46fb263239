"""Odd values for fields, queries, files and JSON, as strategies of hypothesis; each case is drawn from the target it is sent to."""

import io
import json
import zipfile
from collections.abc import Mapping, Sequence
from functools import lru_cache
from typing import Any
from urllib.parse import quote_plus

from hypothesis import strategies as st
from page_forms import Field, Form

_LONG = 100_000
# Words that have broken forms elsewhere: empty, huge, negative, no number, wrong dates, signs that cannot be seen, and what another program
# could take for an order.
WORDS = (
    "", " ", "0", "-0", "-1", "1", "2", "999999", "99999999999999999999", "-99999999999999999999", "9" * 400, "2147483648",
    "9223372036854775808",
    "0.1", "1,5", "1.234,5", "1,234.5", "1e308", "1e309", "-1e309", "1e-320", "nan", "NaN", "inf", "-inf", "Infinity", "1_000", "0x10",
    "٣", "½", "²",
    "+5", "5 %", "5 mg/L", "5 parsecs", "1/0", "true", "false", "on", "null", "None", "undefined", "2026-02-30", "0000-00-00",
    "0001-01-01", "9999-12-31",
    "2026-13-01", "26-1-1", "2026-11-26T25:00", "2026-11-26T12:00", "2026-11-26T12:00:00+99:00", "9999-12-31T23:59", "0001-01-01T00:00",
    "12:00", "24:00",
    "\x00", "a\x00b", "\x1b[31m", "\x07\x08", "a\r\nb", "a\nb", "a\tb", "\u202egnp.exe", "\u200b", "\ufeff", "\u2028", "\ufffe", "\ud800",
    "👩‍👩‍👧‍👦", "𝕏" * 30,
    "é" * 300, "e\u0301", "<script>alert(1)</script>", "<b>", "&lt;", "\"'>", "'; DROP TABLE trial; --", "{{ 7*7 }}", "{% debug %}",
    "%s%n%d", "%(a)s", "{0}",
    "=1+1", "@SUM(A1)", "+1+1", "-1+1", "../../etc/passwd", "..", "/", "\\", "/etc/passwd", "C:\\x", "a/b", "con", ".", "*", "T1", "T2",
    "T99", "t1", "R",
    "algae_cover", "plant", "[", "]", "[[unit]]", '"', "'", '"""', "#", "a = 1", "x" * 255, "x" * 256, "x" * 2000, "x" * _LONG,
    "1;" * 5000, "\n" * 3000,
    "[" * 3000, "- " * 2000, "a,b\n1", "unit;taken_at;value\nT1;2026-03-02;1,5", "static | heater | nan nan; 1 1; 2 2",
    "static | a | 1e308 1; 2 2; 3 3; 1 1",
    "every day", "every 0 days", "every 99999999999 days", "day 1e9", "7,8,9", "-", ",", ";", "|", "K = nan", "K = 1e999",
    "K = 10, K = 10", "= 5", "1 t",
)  # fmt: skip
JSON_VALUES: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 2**31, 2**63, -(2**63) - 1, 10**30, 0.5, 1e308, float("nan"), float("inf"), "", "x", "0", "\x00",
    "\ud800", "x" * _LONG,
    [], {}, [[]], [None], {"": None}, [0] * 2000, {"a": {"b": {"c": []}}}, "T1", "2026-11-26T12:00", "9999-12-31T23:59:59+00:00",
    "0001-01-01T00:00:00+23:59",
)  # fmt: skip
BODIES: tuple[bytes, ...] = (
    b"", b"{", b"null", b"[]", b"[" * 100_000, b'{"a":' * 5000, b"\xff\xfe", b"1e999", b'"x"', b"\x00", b'{"runs": NaN}',
    b'{"runs": null}', b'{"round": [], "entries": {}}',
    b"{}", b"0" * 5000, b"1" * 6000,
)  # fmt: skip


@lru_cache(maxsize=1)
def files() -> dict[str, bytes]:
    """Files by name, of which few are what their name says."""
    from loader_cases import good_files

    good = good_files()
    return {
        **good, "cut.jpg": good["baseline.jpg"][:200], "page.jpg": b"<!doctype html><script>alert(1)</script>", "drawn.svg": _SVG,
        "drawn.jpg": _SVG, "empty.jpg": b"",
        "empty.csv": b"", "bomb.zip": _zipped({"trial.toml": bytes(30_000_000)}),
        "bomb.xlsx": _zipped({"xl/workbook.xml": b" " * 30_000_000}),
        "up.zip": _zipped({"../../up.toml": b"x"}), "absolute.zip": _zipped({"/etc/x": b"x"}), "none.zip": _zipped({}),
        "cut.zip": _zipped({"trial.toml": b"x"})[:30],
        "many.zip": _zipped({f"photos/{number}.jpg": b"x" for number in range(3000)}),
        "plan.zip": _zipped({"t/trial.toml": b'[trial]\ntitle = "x"\n'}),
        "fine.csv": b"unit,taken_at,quantity,value,unit_of_measure\nT1,2026-03-02T10:00:00,ph,7,\n",
        "wide.csv": "unit,taken_at\nT1,x\n".encode("utf-16"),
        "latin.csv": "Becken;Zeit;Wärme\nT1;02.03.2026;24,5\n".encode("latin-1"), "nul.csv": b"unit,ph\x00\nT1,7\n",
        "quote.csv": b'unit,ph\n"T1,7\n', "ragged.csv": b"a,b\n1\n1,2,3\n",
        "long.csv": b"unit,ph\n" + b"T1,7\n" * 20_000, "columns.csv": b"," * 20_000 + b"\n",
        "cell.csv": b"unit,ph\nT1," + b"9" * 200_000 + b"\n", "formula.csv": b"unit,ph\n=1+1,@x\n",
        "sheet.xlsx": _zipped({"xl/workbook.xml": _BILLION}), "name.xlsx": b"unit,ph\nT1,7\n",
        "old.xls": b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600),
        "../../etc/passwd": b"x", "a\x00.jpg": good["baseline.jpg"], "x" * 300 + ".jpg": good["baseline.jpg"],
        "\u202egpj.exe": good["baseline.jpg"],
        "=1+1.jpg": good["grey.jpg"], ".jpg": good["grey.jpg"], "con.jpg": good["grey.jpg"], "plan.toml": b'[trial]\ntitle = "x"\n',
        "bytes.toml": b"\xff\xfe[trial]",
    }  # fmt: skip


_SVG = b'<svg xmlns="http://www.w3.org/2000/svg" onload="alert(1)"><script>alert(1)</script></svg>'
_BILLION = (b'<?xml version="1.0"?><!DOCTYPE a [<!ENTITY b "bbbbbbbbbb">' + b"".join(b'<!ENTITY b%d "%s">' % (one,
    b"&b%s;" % (b"%d" % (one - 1) if one else b"") * 10) for one in range(8))
            + b"]><workbook>&b7;</workbook>")  # fmt: skip


def _zipped(parts: Mapping[str, bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in parts.items():
            packed.writestr(name, content)
    return out.getvalue()


def odd_words(known: Sequence[str]) -> st.SearchStrategy[str]:
    """Texts: of the list, what stands elsewhere on the shelf, numbers, dates, and whatever else can be typed."""
    return st.one_of(
        st.sampled_from(WORDS), st.sampled_from(tuple(known) or ("",)), st.integers(-10, 400).map(str), st.integers().map(str),
        st.floats().map(str), st.text(max_size=40),
        st.dates().map(str), st.datetimes().map(lambda at: at.isoformat()[:16]), st.lists(st.sampled_from(WORDS[:60]), min_size=2,
            max_size=5).map(", ".join),
    )  # fmt: skip


def _typed(one: Field, known: Sequence[str]) -> st.SearchStrategy[str]:
    """What may stand in a field: half the time something it accepts, so that what lies behind it is reached too."""
    fit: list[st.SearchStrategy[str]] = [st.just(one.value)] if one.value else []
    if one.choices:
        fit.append(st.sampled_from(one.choices))
    if one.kind in ("number", "range"):
        fit.append(st.sampled_from([text for text in (one.least, one.most, "1", "3", "12.5") if text]))
    if one.kind == "date":
        fit.append(st.sampled_from(["2026-03-04", "2026-11-26", "2026-11-20"]))
    if one.kind in ("text", "textarea", "search", "email"):
        fit.append(st.sampled_from(["Yellow leaf", "8", "1.5", "a_word", "5 mg/L", "100 mL"]))
    return st.one_of(*fit, odd_words(known)) if not fit else st.one_of(st.one_of(*fit), odd_words(known))


@st.composite
def form_case(draw: st.DrawFn, form: Form, known: Sequence[str]) -> tuple[list[tuple[str, str]], list[tuple[str, str, bytes]]]:
    """Fields and files of one posting of a form: as it stands, with some fields changed, left out or doubled, or with all of them
    changed."""
    sent = form.kept()
    fields = [one for one in form.fields if one.kind not in ("file",)]
    names = sorted({one.name for one in fields})
    if names:
        changed = draw(st.one_of(st.lists(st.sampled_from(names), max_size=3, unique=True), st.just(names[:60])))
        by_name = {name: [one for one in fields if one.name == name] for name in changed}
        for name, same in by_name.items():
            where = next((place for place, (other, _) in enumerate(sent) if other == name), len(sent))
            sent = [pair for pair in sent if pair[0] != name]
            how = draw(st.sampled_from(("typed",) * 8 + ("left out", "doubled")))
            times = {"typed": 1, "left out": 0, "doubled": 2}[how]
            sent[where:where] = [(name, draw(_typed(draw(st.sampled_from(same)), known))) for _ in range(times)]
    if draw(st.integers(0, 19)) == 0:
        sent.append((draw(st.sampled_from(WORDS)), draw(st.sampled_from(WORDS))))
    uploads = []
    for one in form.fields:
        if one.kind == "file" and draw(st.integers(0, 3)):
            name = draw(st.sampled_from(tuple(files())))
            uploads += [(one.name, name, files()[name])] * draw(st.sampled_from((1, 1, 1, 2)))
    return sent, uploads


@st.composite
def query_case(draw: st.DrawFn, names: Sequence[str], kept: Sequence[tuple[str, str]], known: Sequence[str]) -> list[tuple[str, str]]:
    """A query: what the address had, and up to three more."""
    more = draw(st.lists(st.tuples(st.sampled_from(names), odd_words(known)), max_size=3))
    return [*(kept if draw(st.booleans()) else ()), *more]


@st.composite
def json_case(draw: st.DrawFn, good: Any) -> bytes:
    """A body: one that is understood with up to three of its parts replaced, left out or added to, or no JSON at all."""
    if draw(st.integers(0, 7)) == 0:
        return draw(st.one_of(st.sampled_from(BODIES), st.binary(max_size=60)))
    found = json.loads(json.dumps(good))
    for _ in range(draw(st.integers(0, 3))):
        found = _spoilt(draw, found)
    return json.dumps(found).encode()


def _spoilt(draw: st.DrawFn, tree: Any) -> Any:
    parts: list[tuple[Any, Any]] = []

    def walk(node: Any) -> None:
        for key in (node if isinstance(node, dict) else range(len(node))) if isinstance(node, dict | list) else ():
            parts.append((node, key))
            if len(parts) < 200:
                walk(node[key])

    walk(tree)
    if not parts:
        return draw(st.sampled_from(JSON_VALUES))
    node, key = draw(st.sampled_from(parts))
    how = draw(st.integers(0, 9))
    if how == 0 and isinstance(node, dict):
        del node[key]
    elif how == 1 and isinstance(node, list):
        node.append(node[key])
    else:
        node[key] = draw(st.one_of(st.sampled_from(JSON_VALUES), st.sampled_from(WORDS), st.integers(-5, 100), st.text(max_size=10)))
    return tree


def query_of(pairs: Sequence[tuple[str, str]]) -> str:
    """As it stands in an address or in the body of a form; what is no text at all included."""
    return "&".join(f"{quote_plus(name, errors='surrogatepass')}={quote_plus(value, errors='surrogatepass')}" for name, value in pairs)


def parts_of(pairs: Sequence[tuple[str, str]], uploads: Sequence[tuple[str, str, bytes]], edge: str = "EdgeOfAPart") -> bytes:
    """The body of a form with files."""
    out = io.BytesIO()

    def head(text: str) -> None:
        out.write(f"--{edge}\r\nContent-Disposition: form-data; {text}".encode("utf-8", "surrogatepass"))

    for name, value in pairs:
        head(f'name="{_plain(name)}"\r\n\r\n')
        out.write(value.encode("utf-8", "surrogatepass") + b"\r\n")
    for name, file, content in uploads:
        head(f'name="{_plain(name)}"; filename="{_plain(file)}"\r\nContent-Type: image/jpeg\r\n\r\n')
        out.write(content + b"\r\n")
    out.write(f"--{edge}--\r\n".encode())
    return out.getvalue()


def _plain(name: str) -> str:
    return name.replace('"', "%22").replace("\r", "%0D").replace("\n", "%0A")
