"""A clock that stands where it is put, so that the shelf has a history and its pictures show the same days whenever they are taken."""

import datetime as real
import importlib
import pkgutil
import sys
from typing import Any

import fairtank

_PATCHED = ("fairtank", "django.utils.timezone", "django_tasks")
_now = real.datetime(2026, 1, 1, tzinfo=real.UTC)


class _Date(type):
    def __instancecheck__(cls, one: Any) -> bool:
        return isinstance(one, real.date)


class _Moment(type):
    def __instancecheck__(cls, one: Any) -> bool:
        return isinstance(one, real.datetime)


class _FixedDate(real.date, metaclass=_Date):
    """Makes plain dates; today is what the clock says."""

    def __new__(cls, *parts: Any, **more: Any) -> Any:
        return real.date(*parts, **more)

    @classmethod
    def today(cls) -> real.date:
        return _now.date()


class _FixedMoment(real.datetime, metaclass=_Moment):
    """Makes plain moments; now is what the clock says."""

    def __new__(cls, *parts: Any, **more: Any) -> Any:
        return real.datetime(*parts, **more)

    @classmethod
    def now(cls, tz: real.tzinfo | None = None) -> real.datetime:
        return _now.astimezone(tz) if tz else _now.replace(tzinfo=None)


def clock_fix() -> None:
    """Let everything of fairtank, and what keeps its times, ask this clock."""
    for room in pkgutil.walk_packages(fairtank.__path__, "fairtank."):
        if not room.name.startswith("fairtank.cli"):  # the pages do without
            importlib.import_module(room.name)
    for name, module in list(sys.modules.items()):
        if module is None or not name.startswith(_PATCHED):
            continue
        for word, one in list(vars(module).items()):
            if one is real.datetime:
                setattr(module, word, _FixedMoment)
            elif one is real.date:
                setattr(module, word, _FixedDate)


def clock_put(year: int, month: int, day: int, hour: int = 18, minute: int = 0) -> real.datetime:
    """Put the clock there; the moment on the keeper's clock, without a zone."""
    global _now
    _now = real.datetime(year, month, day, hour, minute, tzinfo=real.UTC)
    return _now.replace(tzinfo=None)
