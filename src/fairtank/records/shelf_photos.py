"""The store of photos of this shelf."""

from pathlib import Path

from django.conf import settings

from fairtank.records.photo_files import PhotoFiles


def photo_files() -> PhotoFiles:
    """Where every photo lies once, named by its SHA-256."""
    return PhotoFiles(Path(settings.DATA) / "photos")
