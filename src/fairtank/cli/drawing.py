"""The pictures of the calculators, written to files."""

from pathlib import Path

from fairtank.bench.pictures import picture_of
from fairtank.bench.tables import Table
from fairtank.errors import InputError
from fairtank.planning.claiming.claim import Claim
from fairtank.publish.calc_chart import file_svg, picture_svg
from fairtank.publish.claim_chart import claim_chart
from fairtank.records.writing import text_write


def claim_draw(plot: Path, claim: Claim) -> None:
    """The picture of a claim check."""
    text_write(plot, file_svg(claim_chart(claim)))


def range_draw(plot: Path, table: Table, part: str) -> None:
    """The picture of the answers along a range; what is refused is called by its option."""
    try:
        picture = picture_of(table, part)
    except InputError as error:
        name = f"--{error.name}" if error.name in ("part", "plot") else error.name
        raise InputError(name, error.value, error.accepted, error.hint) from error
    text_write(plot, picture_svg(picture))
