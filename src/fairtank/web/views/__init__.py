"""What answers an address: each view looks its name up among the files that were found, and renders."""

from fairtank.web.views.bench import bench, calculator
from fairtank.web.views.files import folder_file, no_icon, result_file, thumbnail_file
from fairtank.web.views.front import front

__all__ = ["bench", "calculator", "folder_file", "front", "no_icon", "result_file", "thumbnail_file"]
