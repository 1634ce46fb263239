"""The calculators by topic: the rooms of the registry in their order, each under the first sentence of its docstring."""

import sys
from dataclasses import dataclass

from fairtank import registry
from fairtank.registry import Entry


@dataclass(frozen=True)
class Topic:
    """One room of calculators: what it is about, and its calculators in their order."""

    title: str
    entries: tuple[Entry, ...]


def topics() -> tuple[Topic, ...]:
    """All calculators, each under one topic; a file that a room takes its calculators from counts as that room.

    The order does not depend on which file was loaded first: rooms as the registry has them, other files by name, and inside by line.
    """
    rooms = registry.ROOMS["calculator"]
    by_room: dict[str, list[Entry]] = {}
    for entry in registry.entries("calculator"):
        by_room.setdefault(_room_of(entry), []).append(entry)
    places = {room: place for place, room in enumerate([*rooms, *sorted(set(by_room) - set(rooms))])}
    return tuple(Topic(_title(room), tuple(sorted(by_room[room], key=lambda entry: _place(entry, rooms))))
                 for room in sorted(by_room, key=places.__getitem__))


def _place(entry: Entry, rooms: tuple[str, ...]) -> tuple[bool, str, int]:
    """Where a calculator stands in its topic: those of the room's own file first, by line."""
    module = entry.function.__module__
    return module not in rooms, module, entry.function.__code__.co_firstlineno


def _room_of(entry: Entry) -> str:
    module = entry.function.__module__
    rooms = registry.ROOMS["calculator"]
    takers = [room for room in rooms if getattr(sys.modules[room], entry.key, None) is entry.function]
    return module if module in rooms or not takers else takers[0]


def _title(room: str) -> str:
    paragraph = (sys.modules[room].__doc__ or room).strip().split("\n\n")[0]
    return " ".join(paragraph.split()).split(". ")[0].rstrip(".")
