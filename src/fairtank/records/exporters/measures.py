"""measures.csv and photos_quality.csv: every value of every photo, and how far each photo can be trusted."""

import csv
import io

from fairtank.trial import Measured, PhotoQuality

MEASURES_COLUMNS = ("photo", "unit", "taken_at", "day", "measure", "zone", "value", "unit_of_measure", "se", "quality", "version")
QUALITY_COLUMNS = (
    "photo", "unit", "day", "quality", "reasons", "sharpness", "clipped_fraction", "light_level", "uncertain_fraction",
    "x1", "y1", "x2", "y2", "x3", "y3", "x4", "y4", "version", "verdicts",
    "new_fraction", "closeness", "classifier",
)  # fmt: skip


def measures_text(measured: tuple[Measured, ...]) -> str:
    """measures.csv as text."""
    rows = (
        (row.photo, row.unit, row.taken_at.isoformat(), row.day, row.measure, row.zone, _number(row.value), row.unit_of_measure,
         _number(row.se), row.quality, row.version)
        for row in measured
    )  # fmt: skip
    return _table(MEASURES_COLUMNS, rows)


def quality_text(qualities: tuple[PhotoQuality, ...]) -> str:
    """photos_quality.csv as text; corners are those found in each photo, in px of the upright photo."""
    rows = (
        (row.photo, row.unit, row.day, row.quality, " ".join(row.reasons), _number(row.sharpness), _number(row.clipped_fraction),
         _number(row.light_level), _number(row.uncertain_fraction),
         *([_number(part) for corner in row.corners for part in corner] if row.corners else [""] * 8), row.version, " ".join(row.verdicts),
         _number(row.new_fraction), _number(row.closeness), row.classifier)
        for row in qualities
    )  # fmt: skip
    return _table(QUALITY_COLUMNS, rows)


def _number(value: float | None) -> str:
    return "" if value is None else f"{value:.6g}"


def _table(columns: tuple[str, ...], rows) -> str:  # type: ignore[no-untyped-def]
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    writer.writerows(rows)
    return out.getvalue()
