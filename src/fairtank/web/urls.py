"""The addresses of the pages: all that the files in `fairtank.web.routes` list."""

import importlib
import pkgutil
from typing import Any

from fairtank.web import routes

urlpatterns: list[Any] = [pattern for room in pkgutil.iter_modules(routes.__path__)
                          for pattern in importlib.import_module(f"{routes.__name__}.{room.name}").urlpatterns]

handler400 = "fairtank.web.views.refused.not_understood"
handler403 = "fairtank.web.views.refused.not_allowed"
handler404 = "fairtank.web.views.refused.nothing_here"
