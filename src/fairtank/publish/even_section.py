"""How even the tanks were, as a section of the report: the sentences, then the matrix in pictures that fit a page."""

from fairtank.planning.evenness.result import Evenness
from fairtank.publish.arms import ArmLook
from fairtank.publish.blocks import Block, Bullets, Figure, Words
from fairtank.publish.charts import NARROW_PX, WIDE_PX
from fairtank.publish.even_matrix import even_matrix, matrix_checks, rows_of_page
from fairtank.publish.even_words import even_sentences

CAPTION = "The evenness matrix: what each tank had of each factor"
UNSAID = ("Only what was written down can be compared: a factor that nobody recorded may still differ. The tolerances are "
          "assumptions; the list of factors states each.")


def even_blocks(result: Evenness | None, looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    """The blocks of the section; none where the check was not made.

    Parameters
    ----------
    result : Evenness or None
        The check.
    looks : dict of str to ArmLook
        How each arm is drawn.

    Returns
    -------
    tuple of Block
    """
    if result is None:
        return ()
    first, *others = even_sentences(result, looks)
    rows = matrix_checks(result)
    blocks: list[Block] = [Words(first), *([Bullets(tuple(others))] if others and rows else [])]
    most = rows_of_page(result)
    for number, start in enumerate(range(0, len(rows), most)):
        own, key = rows[start: start + most], f"even{number}"
        wide, narrow = (even_matrix(result, looks, key=f"{key}-{name}", width_px=width, checks=own)
                        for name, width in (("wide", WIDE_PX), ("narrow", NARROW_PX)))
        caption = CAPTION if number == 0 else f"{CAPTION}, continued"
        blocks.append(Figure(key, caption, wide.description, wide.svg, narrow.svg))
    return (*blocks, Words(UNSAID, "quiet")) if rows else (*blocks,)
