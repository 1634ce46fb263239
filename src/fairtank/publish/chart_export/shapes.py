"""The shapes of the pictures: a page of text, and the three that videos and posts are shown in."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Shape:
    """One shape of picture.

    key: its word. width_px, height_px: of the picture; 0 for one that is as high as its chart. margin_px: kept free all around; top_px
    and bottom_px beyond it, where players of upright videos lay their own words. heading_px, foot_px: size of the type. matrix_rows: rows
    of the evenness matrix in one picture, at most. least_px: no text of a chart shall be smaller, so that it can be read where the picture
    is as wide as a phone; 0 where that is not asked. scale: px of a PNG for each px of the drawing.
    """

    key: str
    width_px: int
    height_px: int
    margin_px: int
    heading_px: int
    foot_px: int
    matrix_rows: int
    top_px: int = 0
    bottom_px: int = 0
    least_px: int = 0
    scale: float = 1.0

    @property
    def is_page(self) -> bool:
        """Whether the chart is drawn at its own size, for a page of text."""
        return self.height_px == 0


SHAPES = {shape.key: shape for shape in (
    Shape("page", 680, 0, 0, 0, 0, 18, scale=2.0),
    Shape("wide", 1920, 1080, 64, 56, 40, 6, least_px=40),
    Shape("tall", 1080, 1920, 64, 56, 32, 6, top_px=90, bottom_px=170, least_px=24),
    Shape("square", 1080, 1080, 40, 44, 28, 6, least_px=24),
)}  # fmt: skip
# What a link shows of the page behind it: the size that places which show such pictures ask for.
LINK = Shape("link", 1200, 630, 48, 44, 24, 6)
