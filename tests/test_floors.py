"""The floor plan holds: imports go down only, rooms on one floor never import each other, own modules stand at the top."""

import ast
import subprocess
import sys
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from checking import every

SOURCE = Path(__file__).resolve().parent.parent / "src" / "fairtank"

FLOORS = {
    "errors": 0, "names": 0, "units": 0, "sources": 0, "registry": 0, "build": 0, "card": 0, "chore": 0, "factor": 0,
    "finding": 0, "lens": 0, "lot": 0, "seal": 0, "trial": 0,
    "__init__": 0,
    "science": 1, "places": 1,
    "planning": 2, "vision": 2, "inference": 2, "simulation": 2,
    "publish": 3,
    "records": 4, "bench": 4, "settings": 4,
    "web": 5, "cli": 5,
}
# On floor 0 the order is drawn too: a file may import the ones before it.
FLOOR_0_ORDER = ("__init__", "errors", "names", "units", "sources", "registry", "build", "chore", "factor", "finding", "lens", "lot",
                 "seal", "trial", "card")
DJANGO_ROOMS = {"records", "settings", "web", "cli"}
# On floor 4 settings may be read by records; on floor 5 the command that serves pages hands over to web by a name.
HEAVY = ("scipy.stats", "pandas", "statsmodels", "cv2", "vl_convert", "typst", "pi_heif", "PIL", "scipy")


def room_of(path: Path) -> str:
    return path.relative_to(SOURCE).parts[0].removesuffix(".py")


def statements_of(node: ast.AST) -> Iterator[ast.AST]:
    """Every statement below a node; expressions, of which there are far more and which hold none, are not walked through."""
    for name in ("body", "orelse", "finalbody", "handlers", "cases"):
        below = getattr(node, name, None)
        for one in below if isinstance(below, list) else ():
            yield one
            yield from statements_of(one)


@cache
def imports_of(path: Path) -> list[tuple[str, bool]]:
    """(imported module, at the top of the file) for every import statement."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found, at_top = [], set(map(id, tree.body))
    for node in statements_of(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import; write the whole name"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        else:
            continue
        found += [(name, id(node) in at_top) for name in names]
    return found


FILES = sorted(SOURCE.rglob("*.py"))


def short(path: Path) -> str:
    return str(path.relative_to(SOURCE))


def test_every_room_has_its_place_on_the_floor_plan():
    assert {room_of(path) for path in FILES} <= set(FLOORS)


def against_the_floor_plan(path: Path, name: str) -> str:
    """What is wrong with an import as a sentence; empty where the floor plan allows it."""
    room, parts = room_of(path), name.split(".")
    other = parts[1] if len(parts) > 1 and parts[1] in FLOORS else "__init__"
    if other == room or (room, other) == ("records", "settings"):
        return ""
    if FLOORS[room] == FLOORS[other] == 0:
        stands_above = FLOOR_0_ORDER.index(other) >= FLOOR_0_ORDER.index(room)
        return f"{short(path)} imports {name}, which stands above it on floor 0" if stands_above else ""
    if FLOORS[other] >= FLOORS[room]:
        return f"{short(path)} (floor {FLOORS[room]}) imports {name} (floor {FLOORS[other]})"
    return ""


def test_imports_go_down_only():
    own = [(path, name, at_top) for path in FILES for name, at_top in imports_of(path) if name.split(".")[0] == "fairtank"]
    assert len(own) > 1000
    assert [f"{short(path)}: {name} is imported inside a function" for path, name, at_top in own if not at_top] == []
    assert [wrong for path, name, _ in own if (wrong := against_the_floor_plan(path, name))] == []


@pytest.mark.parametrize(("path", "name", "wrong"), [
    ("science/vessel.py", "fairtank.vision.view.zone_mask", "(floor 1) imports fairtank.vision.view.zone_mask (floor 2)"),
    ("vision/view.py", "fairtank.inference.series", "(floor 2) imports"),
    ("lens.py", "fairtank.trial.Plan", "stands above it"),
    ("vision/view.py", "fairtank.trial.Plan", ""),
    ("records/store.py", "fairtank.settings", ""),
    ("cli/main.py", "fairtank.__version__", ""),
])
def test_what_goes_up_is_found(path, name, wrong):
    found = against_the_floor_plan(SOURCE / path, name)
    assert wrong in found if wrong else found == ""


def test_django_stays_above_floor_3():
    below = [path for path in FILES if room_of(path) not in DJANGO_ROOMS]
    assert [short(path) for path in below for name, _ in imports_of(path) if name.split(".")[0] == "django"] == []


def test_heavy_libraries_are_imported_where_they_are_needed():
    heavy = [f"{short(path)} imports {name} at its top; import inside the function that needs it"
             for path in FILES for name, at_top in imports_of(path) if at_top and name.startswith(HEAVY)]
    assert heavy == []


@every("path", [path for path in FILES if path.name == "__init__.py"], ids=short)
def test_init_files_hold_imports_and_a_docstring_only(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree), f"{path} has no docstring"
    allowed = (ast.Import, ast.ImportFrom, ast.Assign, ast.Expr)
    assert all(isinstance(node, allowed) for node in tree.body), f"{path} holds logic"


def test_no_file_holds_a_second_topic():
    written = [path for path in FILES if "migrations" not in path.parts]  # those are made by Django
    lengths = {short(path): len(path.read_text(encoding="utf-8").splitlines()) for path in written}
    assert {path: length for path, length in lengths.items() if length > 450} == {}, "which second topic crept in?"


def test_no_photo_is_opened_past_the_one_loader():
    offenders = [path for path in FILES if "cv2.imread" in path.read_text(encoding="utf-8")]
    assert not offenders, f"cv2.imread ignores colour profiles and HEIC; use fairtank.vision.load: {offenders}"


def test_the_command_line_starts_without_heavy_libraries():
    code = "import sys, fairtank.cli.main; print(*[m for m in sys.argv[1:] if m in sys.modules])"
    heavy = ["numpy", "scipy", "cv2", "PIL", "django", "typst", "vl_convert", "pandas", "statsmodels"]
    loaded = subprocess.run([sys.executable, "-c", code, *heavy], capture_output=True, text=True, check=True).stdout.split()
    assert loaded == []


def test_science_loads_without_django():
    code = "import sys, fairtank.science.vessel, fairtank.science.colour; print('django' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout.strip() == "False"
