"""How wide a text is in the house's type: advances of its glyphs with their kerning, as the renderer measures it."""

import bisect
import functools
import itertools
import struct
from pathlib import Path

_FONTS = Path(__file__).parent.parent / "fonts"
_FILES = {"normal": "AtkinsonHyperlegibleNext-Regular.ttf", "bold": "AtkinsonHyperlegibleNext-Bold.ttf"}
_NONE, _WIDEST_SIGN = 0, 1.5
_SINGLE = struct.Struct("f")  # the renderer measures in single precision
_PAIRS, _EXTENSION, _ADVANCE_X = 2, 9, 0x0004


def text_width(text: str, size_px: float, weight: str = "normal") -> float:
    """The width of a text [px]; blanks at its ends and doubled ones take no room. Signs of other typefaces count as wide as any may be.

    >>> round(text_width("100", 14), 3)
    23.842
    """
    wide: float = _SINGLE.unpack(_SINGLE.pack(_width(" ".join(part for part in text.split(" ") if part), weight) * size_px))[0]
    return wide


@functools.lru_cache(maxsize=4096)
def _width(text: str, weight: str) -> float:
    """The same for type of 1 px."""
    face = _typeface(weight)
    glyphs = [face.glyph(sign) for sign in text]
    units = sum(face.advance(glyph) for glyph in glyphs if glyph)
    units += sum(face.kerning(left, right) for left, right in itertools.pairwise(glyphs) if left and right)
    return units / face.units + _WIDEST_SIGN * glyphs.count(_NONE)


def is_measured(text: str, weight: str = "normal") -> bool:
    """Whether the house's type has every sign of a text, so that its width is known and not only a bound."""
    face = _typeface(weight)
    return all(face.glyph(sign) for sign in text)


@functools.cache
def _typeface(weight: str) -> "Typeface":
    return Typeface((_FONTS / _FILES[weight]).read_bytes())


class Typeface:
    """One font file in the OpenType format (iso14496-22): its signs, their advances, and the kerning of pairs."""

    def __init__(self, data: bytes) -> None:
        self._data = data
        tables = {data[at:at + 4].decode("ascii"): self._number(at + 8, "I") for at in range(12, 12 + 16 * self._number(4), 16)}
        self.units = self._number(tables["head"] + 18)
        self._advances, self._advance_count = tables["hmtx"], self._number(tables["hhea"] + 34)
        self._glyphs = self._signs(tables["cmap"])
        self._kerns = self._kern_tables(tables["GPOS"]) if "GPOS" in tables else []
        self._pairs: dict[tuple[int, int], int] = {}

    def glyph(self, sign: str) -> int:
        """The number of a sign's glyph; 0 for a sign that the font does not have."""
        return self._glyphs.get(sign, _NONE)

    def advance(self, glyph: int) -> int:
        """How far a glyph moves on, in the font's units."""
        return self._number(self._advances + 4 * min(glyph, self._advance_count - 1))

    def kerning(self, left: int, right: int) -> int:
        """How much nearer two glyphs stand than their advances, in the font's units."""
        found = self._pairs.get((left, right))
        if found is None:
            found = sum(next((moved for at in lookup if (moved := self._moved(at, left, right)) is not None), 0) for lookup in self._kerns)
            self._pairs[left, right] = found
        return found

    def _number(self, at: int, form: str = "H") -> int:
        value: int = struct.unpack_from(f">{form}", self._data, at)[0]
        return value

    def _numbers(self, at: int, count: int, form: str = "H") -> tuple[int, ...]:
        return struct.unpack_from(f">{count}{form}", self._data, at)

    def _signs(self, table: int) -> dict[str, int]:
        """The glyph of each sign, from the segments of a cmap of format 4."""
        places = [table + self._number(table + 8 + 8 * index, "I") for index in range(self._number(table + 2))]
        at = next(place for place in places if self._number(place) == 4)
        count = self._number(at + 6) // 2
        ends, starts = self._numbers(at + 14, count), self._numbers(at + 16 + 2 * count, count)
        deltas, offsets_at = self._numbers(at + 16 + 4 * count, count), at + 16 + 6 * count
        signs: dict[str, int] = {}
        for index, offset in enumerate(self._numbers(offsets_at, count)):
            for code in range(starts[index], min(ends[index], 0xFFFE) + 1):
                if offset == 0:
                    glyph = (code + deltas[index]) & 0xFFFF
                else:
                    glyph = self._number(offsets_at + 2 * index + offset + 2 * (code - starts[index]))
                    glyph = (glyph + deltas[index]) & 0xFFFF if glyph else 0
                if glyph:
                    signs[chr(code)] = glyph
        return signs

    def _kern_tables(self, table: int) -> list[list[int]]:
        """Where the tables of pairs lie, by the lookups of the feature `kern`."""
        features, lookups = table + self._number(table + 6), table + self._number(table + 8)
        used: set[int] = set()
        for index in range(self._number(features)):
            at = features + 2 + 6 * index
            if self._data[at:at + 4] == b"kern":
                feature = features + self._number(at + 4)
                used.update(self._numbers(feature + 4, self._number(feature + 2)))
        found = []
        for number in sorted(used):
            lookup = lookups + self._number(lookups + 2 + 2 * number)
            own = [lookup + offset for offset in self._numbers(lookup + 6, self._number(lookup + 4))]
            if self._number(lookup) == _EXTENSION:
                own = [at + self._number(at + 4, "I") for at in own if self._number(at + 2) == _PAIRS]
            found.append(own if self._number(lookup) in (_PAIRS, _EXTENSION) else [])
        return found

    def _moved(self, at: int, left: int, right: int) -> int | None:
        """What one table says about a pair; None where it does not cover its first glyph, or has no such pair."""
        covered = self._covered(at + self._number(at + 2), left)
        if covered is None:
            return None
        first, second = self._numbers(at + 4, 2)
        size = 2 * (first.bit_count() + second.bit_count())
        if self._number(at) == 1:
            pairs = at + self._number(at + 10 + 2 * covered)
            for index in range(self._number(pairs)):
                record = pairs + 2 + index * (2 + size)
                if self._number(record) == right:
                    return self._advance_of(record + 2, first)
            return None
        classes = [self._class(at + self._number(at + 8 + 2 * place), glyph) for place, glyph in enumerate((left, right))]
        return self._advance_of(at + 16 + (classes[0] * self._number(at + 14) + classes[1]) * size, first)

    def _advance_of(self, at: int, form: int) -> int:
        if not form & _ADVANCE_X:
            return 0
        return self._number(at + 2 * (form & (_ADVANCE_X - 1)).bit_count(), "h")

    def _covered(self, at: int, glyph: int) -> int | None:
        """The place of a glyph in a coverage table."""
        count = self._number(at + 2)
        if self._number(at) == 1:
            glyphs = self._numbers(at + 4, count)
            place = bisect.bisect_left(glyphs, glyph)
            return place if place < count and glyphs[place] == glyph else None
        for index in range(count):
            start, end, first = self._numbers(at + 4 + 6 * index, 3)
            if start <= glyph <= end:
                return first + glyph - start
        return None

    def _class(self, at: int, glyph: int) -> int:
        """The class of a glyph; 0 is that of all others."""
        if self._number(at) == 1:
            start, count = self._numbers(at + 2, 2)
            return self._number(at + 6 + 2 * (glyph - start)) if start <= glyph < start + count else 0
        for index in range(self._number(at + 2)):
            start, end, own = self._numbers(at + 4 + 6 * index, 3)
            if start <= glyph <= end:
                return own
        return 0
