"""The sentences of a kit that pages tell: each is found by the tool that gathers texts, so that it can be told in another language."""

import re
import sys
from types import SimpleNamespace

import pytest
from tests.conftest import REPOSITORY

from fairtank.publish.kit.facts import LEFT_OUT, REDUCED, WHOLE, WITHOUT_PLACE, KitFile
from fairtank.publish.kit.licences import LICENCES
from fairtank.publish.kit.made_words import made_words
from fairtank.publish.kit.miappe_fields import CANNOT, NO_PLACE, NOTHING
from fairtank.publish.kit.words import KitFault, photos_words, state_words

FILES = ("licence_words.py", "made_words.py", "miappe_fields.py", "words.py")


@pytest.fixture(scope="module")
def pieces():
    """Each gathered text as a pattern, its places open."""
    sys.path.insert(0, str(REPOSITORY / "scripts"))
    try:
        from sentences import sentences_in
    finally:
        sys.path.pop(0)
    texts = [text for name in FILES for text in sentences_in(REPOSITORY / "src/fairtank/publish/kit" / name, f"publish/kit/{name}")]
    parts = [[part.replace("%%", "%") for part in re.split(r"%\(\w+\)s", text)] for text in texts]
    return [re.compile(".+?".join(map(re.escape, part)), re.DOTALL) for part in parts]


def made(what, count, licence="none"):
    facts = SimpleNamespace(digest_here="sha256:a", inputs_digest="sha256:b", licence=licence, folder=SimpleNamespace(seal=None),
                            plan=SimpleNamespace(disclosure=""))
    return made_words(facts, [KitFile(f"photos/{number}.jpg", what, 1, "0" * 64) for number in range(count)], ("truth",))


TOLD = [
    *(line for what in (WHOLE, REDUCED, LEFT_OUT, WITHOUT_PLACE) for count in (1, 2) for line in made(what, count)),
    *(line for key in (*LICENCES, "own") for line in made(WHOLE, 1, key)),
    *(line for faults in ([], [KitFault(kind, "a.csv", "it is no text") for kind in ("altered", "missing", "added", "twice", "list") * 5])
      for line in state_words(12, faults, is_sealed=False)),
    *photos_words(1, 1, 1, 1), *photos_words(2, 2, 2, 2), *(one.short for one in LICENCES.values()),
    NOTHING, *CANNOT.values(), *NO_PLACE.values(),
]


def test_every_sentence_of_a_kit_can_be_told_in_another_language(pieces):
    untold = [line for line in dict.fromkeys(TOLD) if not any(piece.fullmatch(line) for piece in pieces)]
    assert len(dict.fromkeys(TOLD)) > 40
    assert untold == []


def test_names_of_licences_and_the_statement_in_the_kit_are_left_as_they_are(pieces):
    for one in LICENCES.values():
        whole = [piece for piece in pieces if piece.fullmatch(one.name) and piece.pattern == re.escape(one.name)]
        assert bool(whole) == (not one.address), "only that all rights remain is said in our own words"


@pytest.mark.parametrize(("count", "said"), [(1, "1 picture was made smaller for this kit; its original digest stands"),
                                             (3, "3 pictures were made smaller for this kit; their original digests stand")])
def test_one_and_several_are_told_apart(count, said):
    assert photos_words(count, 0, 0, 0)[0].startswith(said)
    assert made(WHOLE, count)[1] == ("1 photo as measured." if count == 1 else "3 photos as measured.")
