"""Measure a made-up folder of photos, and look into what came out."""

from tests.records.photo_trials import read

from fairtank.records.services.measuring import MeasuredTrial, folder_measure
from fairtank.records.store import Store


def measure(root, *, workers=1, store=None, **more) -> MeasuredTrial:
    return folder_measure(folder=read(root), store=store or Store(root / ".fairtank"), workers=workers, **more)


def all_of(measured: MeasuredTrial):
    """Everything but how many photos were opened for it."""
    return measured.measured, measured.qualities, measured.thumbnails, measured.cautions


def values(measured: MeasuredTrial, measure_key: str) -> dict[str, float]:
    return {row.photo: row.value for row in measured.measured if row.measure == measure_key and row.zone == ""}


def quality_of(measured: MeasuredTrial, photo: str):
    return next(row for row in measured.qualities if row.photo == photo)
