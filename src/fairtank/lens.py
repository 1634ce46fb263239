"""What is known of a camera's lens: how far it sees, and how it bends straight lines."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Lens:
    """How one camera's lens bends, as a row of lens.csv says it.

    With r the distance from the photo's middle in focal lengths, a point that a straight lens would show at r is shown at
    r (1 + k1 r^2 + k2 r^4). camera: what the keeper calls it. focal_px: focal length [px of a photo whose long side has 2016 px].
    residual_px: how far the checkerboards' corners lie off once the bend is known [the same px]. pictures: how many photos told it.
    units: those that this camera photographs; empty for all.
    """

    camera: str
    focal_px: float
    k1: float
    k2: float
    residual_px: float
    pictures: int
    units: tuple[str, ...] = ()

    def bend_px(self, away_px: float) -> float:
        """How far outwards (negative: inwards) the lens shifts a point that a straight one would show so far from the middle.

        Parameters
        ----------
        away_px : float
            [px of a photo whose long side has 2016 px]

        Returns
        -------
        float
            In the same px.

        Examples
        --------
        >>> round(Lens("phone", 1500, 0.1, 0.0, 0.1, 5).bend_px(750), 2)
        18.75
        """
        r = away_px / self.focal_px
        return away_px * (self.k1 * r**2 + self.k2 * r**4)
