"""Trials that are to be taken together: folders and kits side by side, and how each of them was done."""

from contextlib import ExitStack
from pathlib import Path

from fairtank.finding import Finding
from fairtank.publish.kit.licences import licence_of_text
from fairtank.publish.pool_facts import PooledFacts
from fairtank.records.folder.kit_files import LICENCE, check_kit
from fairtank.records.folder.toml_section import FILE as PLAN_FILE
from fairtank.records.folder.zipped import folder_at
from fairtank.records.litres import tank_litres_of
from fairtank.records.services.kits import Watched, kits_in
from fairtank.records.services.trials import JudgedTrial, trial_judge

PACKED = ".zip"


def packed_in(root: Path) -> list[Path]:
    """The ZIP files right inside a folder, by name."""
    if not root.is_dir():
        return []
    files = sorted(place for place in root.iterdir() if place.is_file() and not place.name.startswith("."))
    return [place for place in files if place.suffix.lower() == PACKED]


def folders_in(root: Path, out: Path | None, has_packed: bool) -> tuple[list[Path], tuple[str, ...]]:
    """The trial folders right inside a folder; beside ZIP files there need not be any."""
    if has_packed and not any((place / PLAN_FILE).exists() for place in (root, *root.iterdir())):
        results = {root.resolve() / "out", *([out.resolve()] if out is not None else [])}
        return [], tuple(sorted(place.name for place in root.iterdir()
                                if place.is_dir() and not place.name.startswith(".") and place.resolve() not in results))
    return kits_in(root, out)


def packed_judged(kit: Path, unpacked: ExitStack, workers: int | None, watched: Watched) -> JudgedTrial:
    """A packed trial judged; a kit only where its files are as its list says. What was unpacked is kept until the report is written."""
    root = unpacked.enter_context(folder_at(kit))
    check_kit(root)
    with watched(kit.name) as progress:
        return trial_judge(root=root, workers=workers, progress=progress)


def facts_of(name: str, judged: JudgedTrial, finding: Finding) -> PooledFacts:
    """How one of the trials was done, as far as its folder tells."""
    folder = judged.folder
    plan, place = folder.plan, folder.root / LICENCE
    licence = licence_of_text(place.read_text(encoding="utf-8", errors="replace")) if place.is_file() else ""
    return PooledFacts(
        name, plan.start, plan.days, plan.kind, (finding.n_reference, finding.n_changed), finding.grade, finding.low is not None,
        plan.drawn, plan.blinded, plan.keeper, plan.place, plan.change, plan.reference, tank_litres_of(folder),
        "" if folder.seal is None else folder.seal.last.code, licence, plan.disclosure, plan.repeats,
    )
