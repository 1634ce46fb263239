"""Each command, measure, calculator and analysis is in docs/, the generated pages are current, and no link is broken."""

import importlib.util
import re
from functools import cache
from importlib.machinery import SourceFileLoader
from pathlib import Path

import click
import pytest
import rich.style  # noqa: F401 - draws from Python's global generator when first imported; here that is before the guards look

from checking import every
from fairtank import registry
from fairtank.cli.main import app
from fairtank.sources import SOURCES

ROOT = Path(__file__).resolve().parent.parent
DOCS = ROOT / "docs"
METHOD_HEADINGS = ("## Idea", "## Formula", "## When not to use it", "## Checks", "## Sources")
METHODS = {entry.key: entry for kind in ("measure", "analysis") for entry in registry.entries(kind)}
PAGES = sorted([*DOCS.rglob("*.md"), *ROOT.glob("*.md"), *(ROOT / "changes").glob("*")])


@cache
def generator():
    """The script scripts/docs as a module."""
    loader = SourceFileLoader("fairtank_docs_script", str(ROOT / "scripts" / "docs"))
    module = importlib.util.module_from_spec(importlib.util.spec_from_loader(loader.name, loader))
    loader.exec_module(module)
    return module


def command_names():
    """The commands of the command line, in its own order."""
    return app.list_commands(click.Context(app, info_name="fairtank"))


def test_generated_pages_are_current():
    late = [str(path.relative_to(ROOT)) for path in generator().outdated()]
    assert not late, f"out of date: {', '.join(late)}; run scripts/docs"


def test_every_command_is_on_the_commands_page():

    page = (DOCS / "reference" / "commands.md").read_text(encoding="utf-8")
    assert {"build", "run", "measure", "judge", "report", "demo", "serve", "calc"} <= set(command_names())
    assert re.findall(r"^## fairtank (\w+)$", page, flags=re.MULTILINE) == command_names()


@every("key", [entry.key for entry in registry.entries("calculator")])
def test_every_calculator_is_on_the_calculators_page(key):
    assert f"## {key}\n" in (DOCS / "reference" / "calculators.md").read_text(encoding="utf-8")


@every("key", sorted(METHODS))
def test_every_measure_and_analysis_has_a_page_with_all_its_parts(key):
    path = DOCS / "methods" / f"{key}.md"
    assert path.exists(), f"write docs/methods/{key}.md"
    text = path.read_text(encoding="utf-8")
    places = [text.find(f"{heading}\n") for heading in METHOD_HEADINGS]
    assert -1 not in places, f"{path.name} lacks {METHOD_HEADINGS[places.index(-1)]}"
    assert places == sorted(places), f"{path.name}: its parts stand in another order"
    for source in METHODS[key].sources:
        assert source in text[places[-1]:], f"{path.name} does not cite {source}"


def test_every_method_page_belongs_to_something_declared():
    # checks.md is the page of worked examples, honesty.md that of simulated trials, photos.md that of the photo benchmarks; the others
    # belong to commands that plan and watch.
    of_commands = {"checks", "draw", "drift", "evenness", "forecast", "honesty", "photos"}
    assert {path.stem for path in (DOCS / "methods").glob("*.md")} <= {*METHODS, *of_commands}


@every("path", PAGES, ids=lambda path: str(path.relative_to(ROOT)))
def test_links_between_pages_lead_somewhere(path):
    text = re.sub(r"```.*?```", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    for target in re.findall(r"\]\(([^)\s]+)\)|<img [^>]*src=\"([^\"]+)\"", text):
        name, _, anchor = "".join(target).partition("#")
        if name.startswith(("http:", "https:", "mailto:")):
            continue
        reached = (path.parent / name).resolve() if name else path
        assert reached.exists(), f"{path.relative_to(ROOT)} links to {name}"
        if anchor and reached.name == "sources.md":
            assert anchor in SOURCES


GUIDES = [ROOT / "README.md", DOCS / "first-trial.md", *sorted((DOCS / "guide").glob("*.md"))]


@every("path", GUIDES, ids=lambda path: path.name)
def test_every_command_that_a_guide_shows_exists(path):

    shown = set(re.findall(r"(?:^|`)(?:fairtank|python3 run\.py) ([a-z]+)", path.read_text(encoding="utf-8"), flags=re.MULTILINE))
    assert shown <= {*command_names(), "test"}


def test_the_guide_to_the_folder_names_every_grade_design_and_summary():
    from fairtank.finding import GRADES
    from fairtank.trial import DESIGN_KINDS, EFFECTS, SUMMARIES, ZONE_KINDS

    folder = (DOCS / "guide" / "trial-folder.md").read_text(encoding="utf-8")
    finding = (DOCS / "guide" / "read-the-finding.md").read_text(encoding="utf-8")
    assert [word for word in (*DESIGN_KINDS, *SUMMARIES, *ZONE_KINDS, *EFFECTS) if f"`{word}`" not in folder] == []
    assert [word for word in GRADES if f"**{word}**" not in finding] == []


def test_the_guide_to_the_folder_names_every_file_column_and_key():
    from fairtank.records.folder.plan_toml import HEADS, TRIAL_TEXTS, UNIT_TEXTS
    from fairtank.records.folder.setup_toml import SETUP_HEADS
    from fairtank.records.folder.tables import TABLES

    folder = (DOCS / "guide" / "trial-folder.md").read_text(encoding="utf-8")
    columns = {column.name for table in TABLES for column in table.columns}
    assert [name for name in sorted(columns | {*TRIAL_TEXTS, *UNIT_TEXTS}) if f"`{name}`" not in folder] == []
    assert [table.file for table in TABLES if table.file not in folder] == []
    assert [head for head in (*HEADS, *SETUP_HEADS) if f"[{head}]" not in folder] == []


def test_the_guide_to_the_folder_names_every_word_that_a_setup_may_use():
    from fairtank.build import DEVICE_KINDS, MATERIAL_KINDS, RIMS, STOCKS, ZONES

    folder = (DOCS / "guide" / "trial-folder.md").read_text(encoding="utf-8")
    assert [word for word in (*RIMS, *MATERIAL_KINDS, *ZONES, *STOCKS, *DEVICE_KINDS) if f"`{word}`" not in folder] == []


def test_the_guide_to_the_folder_names_every_key_of_a_setup():
    import inspect

    from fairtank.records.folder import setup_toml, setup_toml_parts

    asked = re.findall(r"section\.(?:quantity|text|key|name|choice|whole|flag|amounts|keys|part|parts)\(\"(\w+)\"",
                       inspect.getsource(setup_toml_parts))
    asked += re.findall(r"(?:general|money)\.\w+\(\"(\w+)\"", inspect.getsource(setup_toml))
    folder = (DOCS / "guide" / "trial-folder.md").read_text(encoding="utf-8")
    assert len(set(asked)) > 50
    assert [key for key in sorted(set(asked)) if f"`{key}`" not in folder] == []


def test_the_example_setup_of_the_guide_is_built_without_a_problem():
    from dataclasses import replace

    from fairtank.planning.buildsheet import build_sheet
    from fairtank.records.folder.plan_toml import draft_from_text
    from fairtank.records.folder.problems import Problems
    from fairtank.records.folder.setup_toml import setup_from_text
    from fairtank.trial import Unit

    plan, setup = re.findall(r"```toml\n(.*?)```", (DOCS / "guide" / "trial-folder.md").read_text(encoding="utf-8"), flags=re.DOTALL)[:2]
    problems = Problems()
    draft = draft_from_text(plan + '\n[[unit]]\nkey = "T2"\narm = "B"\n', problems)
    six = replace(draft.plan, units=tuple(Unit(f"T{number}", "RB"[number % 2]) for number in range(1, 7)))
    read = setup_from_text(setup, six, problems)
    assert not problems
    assert read.unknown == []
    assert len(build_sheet(read.setup).units) == 6


def test_the_example_plans_of_the_guides_are_read_without_a_problem():
    from fairtank.records.folder.plan_toml import draft_from_text
    from fairtank.records.folder.problems import Problems

    for path in (DOCS / "first-trial.md", DOCS / "guide" / "trial-folder.md"):
        example = re.search(r"```toml\n(.*?)```", path.read_text(encoding="utf-8"), flags=re.DOTALL)[1]
        if 'arm = "B"' not in example:
            example += '\n[[unit]]\nkey = "T2"\narm = "B"\n'  # the guide shows one unit and says that there is one for each tank
        problems = Problems()
        draft = draft_from_text(example, problems)
        assert not problems, path.name
        assert draft.unknown == [], path.name


@every("path", sorted((ROOT / "changes").glob("*.*.md")), ids=lambda path: path.name)
def test_a_change_note_is_named_by_its_kind(path):
    assert path.name.split(".")[-2] in {"added", "changed", "fixed", "removed", "numbers"}
    assert path.read_text(encoding="utf-8").strip()


@pytest.mark.parametrize("path", sorted((DOCS / "why").glob("*.md")), ids=lambda path: path.name)
def test_a_decision_is_dated_and_says_what_was_turned_down(path):
    text = path.read_text(encoding="utf-8")
    assert re.search(r"^\d{1,2} [A-Z][a-z]+ 20\d\d", text, flags=re.MULTILINE)
    assert "## Turned down" in text
