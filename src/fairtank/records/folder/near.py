"""Words that are probably misspelt: a known word off by a letter or two, by capitals, or by the marks between its parts."""

from collections.abc import Iterable

_MARKS = str.maketrans("", "", "_- .")
# Letters that may be wrong in a word of at least this many; in a shorter one letters may be missing, added or swapped, not replaced:
# "food" is no misspelt "wood". Common practice, no source.
_FROM_LETTERS = ((8, 2), (5, 1))
_FEWEST_LETTERS = 3


def meant(word: str, known: Iterable[str]) -> str:
    """The known word that a misspelt one was probably meant to be; empty where none is near.

    >>> meant("margni", ["window", "margin"]), meant("Run-in days", ["run_in_days"]), meant("moon", ["role", "margin"])
    ('margin', 'run_in_days', '')
    """
    plain = _plain(word)
    for candidate in known:
        if _plain(candidate) == plain and plain:
            return candidate
    near = [(wrong, candidate) for candidate in known if (wrong := _wrong(plain, _plain(candidate)))]
    return min(near, key=lambda pair: pair[0])[1] if near else ""


def did_you_mean(word: str) -> str:
    """The question in brackets that follows what was read; empty where no word is near."""
    return f" (did you mean {word}?)" if word else ""


def _plain(word: str) -> str:
    return word.casefold().translate(_MARKS)


def _wrong(word: str, known: str) -> int:
    """How many letters are wrong; 0 where the words are too different to be meant for each other."""
    letters = min(len(word), len(known))
    allowed = next((allowed for fewest, allowed in _FROM_LETTERS if letters >= fewest), 1 if letters >= _FEWEST_LETTERS else 0)
    if abs(len(word) - len(known)) > allowed:
        return 0
    wrong = _letters_apart(word, known)
    if letters < _FROM_LETTERS[-1][0] and len(word) == len(known) and sorted(word) != sorted(known):
        return 0
    return wrong if wrong <= allowed else 0


def _letters_apart(first: str, second: str) -> int:
    """How many letters must be added, left out, replaced or swapped with their neighbour to make one word of the other."""
    before: list[int] = []
    row = list(range(len(second) + 1))
    for i, one in enumerate(first, start=1):
        further = [i]
        for j, other in enumerate(second, start=1):
            steps = min(row[j] + 1, further[j - 1] + 1, row[j - 1] + (one != other))
            if before and j > 1 and one == second[j - 2] and first[i - 2] == other:
                steps = min(steps, before[j - 2] + 1)
            further.append(steps)
        before, row = row, further
    return row[-1]
