"""The floor plan holds: imports go down only, rooms on one floor never import each other, own modules stand at the top."""

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

SOURCE = Path(__file__).resolve().parent.parent / "src" / "fairtank"

FLOORS = {
    "errors": 0, "names": 0, "units": 0, "sources": 0, "registry": 0, "build": 0, "card": 0, "chore": 0, "factor": 0,
    "finding": 0, "lens": 0, "lot": 0, "seal": 0, "trial": 0,
    "__init__": 0,
    "science": 1,
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


@cache
def imports_of(path: Path) -> list[tuple[str, bool]]:
    """(imported module, at the top of the file) for every import statement."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import; write the whole name"
            names = [f"{node.module}.{alias.name}" for alias in node.names]
        else:
            continue
        found += [(name, node in tree.body) for name in names]
    return found


FILES = sorted(SOURCE.rglob("*.py"))


def short(path: Path) -> str:
    return str(path.relative_to(SOURCE))


def test_every_room_has_its_place_on_the_floor_plan():
    assert {room_of(path) for path in FILES} <= set(FLOORS)


@pytest.mark.parametrize("path", FILES, ids=short)
def test_imports_go_down_only(path):
    room = room_of(path)
    for name, at_top in imports_of(path):
        if name.split(".")[0] != "fairtank":
            continue
        parts = name.split(".")
        other = parts[1] if len(parts) > 1 and parts[1] in FLOORS else "__init__"
        assert at_top, f"{path}: {name} is imported inside a function"
        if other == room:
            continue
        if FLOORS[room] == FLOORS[other] == 0:
            assert FLOOR_0_ORDER.index(other) < FLOOR_0_ORDER.index(room), f"{path} imports {name}, which stands above it on floor 0"
        elif (room, other) != ("records", "settings"):
            assert FLOORS[other] < FLOORS[room], f"{path} (floor {FLOORS[room]}) imports {name} (floor {FLOORS[other]})"


@pytest.mark.parametrize("path", [path for path in FILES if room_of(path) not in DJANGO_ROOMS], ids=short)
def test_django_stays_above_floor_3(path):
    assert not [name for name, _ in imports_of(path) if name.split(".")[0] == "django"]


@pytest.mark.parametrize("path", FILES, ids=short)
def test_heavy_libraries_are_imported_where_they_are_needed(path):
    heavy = [name for name, at_top in imports_of(path) if at_top and name.startswith(tuple(f"{library}" for library in HEAVY))]
    assert not heavy, f"{path} imports {heavy} at its top; import inside the function that needs it"


@pytest.mark.parametrize("path", [path for path in FILES if path.name == "__init__.py"], ids=short)
def test_init_files_hold_imports_and_a_docstring_only(path):
    tree = ast.parse(path.read_text(encoding="utf-8"))
    assert ast.get_docstring(tree), f"{path} has no docstring"
    allowed = (ast.Import, ast.ImportFrom, ast.Assign, ast.Expr)
    assert all(isinstance(node, allowed) for node in tree.body), f"{path} holds logic"


@pytest.mark.parametrize("path", FILES, ids=short)
def test_no_file_holds_a_second_topic(path):
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 450, f"{path} is longer than 450 lines: which second topic crept in?"


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
