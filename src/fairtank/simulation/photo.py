"""A rendered photo: the picture, its truth, and the file a phone would have written."""

import io
from dataclasses import dataclass
from datetime import datetime

import numpy as np

from fairtank.simulation.truth import Truth

_ORIENTATION, _DATE_TIME, _EXIF_POINTER, _DATE_TIME_ORIGINAL = 0x0112, 0x0132, 0x8769, 0x9003


@dataclass(frozen=True)
class RenderedPhoto:
    """One photo. image: array (height, width, 3), uint8 sRGB, upright. truth: what is in it. taken_at: the keeper's local clock."""

    image: np.ndarray
    truth: Truth
    taken_at: datetime

    def jpeg_bytes(self, quality: int = 90) -> bytes:
        """The photo as a JPEG file with its time (EXIF DateTimeOriginal) and orientation 1.

        Parameters
        ----------
        quality : int
            JPEG quality. [none], 1 to 95

        Returns
        -------
        bytes
            The file.
        """
        from PIL import Image

        exif = Image.Exif()
        moment = self.taken_at.strftime("%Y:%m:%d %H:%M:%S")
        exif[_ORIENTATION], exif[_DATE_TIME] = 1, moment
        exif.get_ifd(_EXIF_POINTER)[_DATE_TIME_ORIGINAL] = moment
        out = io.BytesIO()
        Image.fromarray(self.image).save(out, "JPEG", quality=quality, exif=exif.tobytes())
        return out.getvalue()
