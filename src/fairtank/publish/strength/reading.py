"""A sentence read word by word: which part each word plays, in which language, and where a chain of parts occurs in it.

A chain is written as parts in their order: `zero ~2 thing` is a word that says none, up to two other words, and a word for a difference.
`a/b` is one part or the other, `a*` up to four words of that part or none, `a?` one or none, `'word'` the word itself, `!a` a place where
no such word stands, `~3` up to three words inside a clause, `~~3` the same over commas, `^` and `$` the beginning and end of a clause.
"""

import functools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from fairtank.publish.strength import table_english, table_german
from fairtank.publish.strength.number_words import is_number
from fairtank.publish.strength.subjects import Mention, Vocabulary

TABLES = {"english": table_english.ROLES, "german": table_german.ROLES}
_TOKEN = re.compile(r"[^\W\d_]{1,3}\d+(?!\w)|n't(?!\w)|'\w{1,3}(?!\w)|\d+(?:[.,]\d+)*|"
                    r"(?:(?!n't(?!\w))[^\W\d_])+|%|=|,|[;:()!?.…]|\s-+(?=\s)|[–—]|\w")
# Words that stand in nearly every sentence of one language and in none of the other.
_ENGLISH = ("the a and is are were with we of to it that this our for on not have has had you your at by from but what no i my be do "
            "did does can just more less than them they there every any algae tanks its")
_GERMAN = ("der das und ist nicht mit wir ich ein eine einen einem auch wie den dem des sind es zu auf für bei keine kein mehr nur "
           "aber sich noch wenn dass ob weil hat haben wird euch ihr im gibt von als weniger macht jedes jeder unser unseren nie dank "
           "wegen etwas besser algen becken gab kann bleibt schon ganz gar")
_MARKS = {"english": frozenset(_ENGLISH.split()), "german": frozenset(_GERMAN.split())}
_BESIDE_NAMES = {"det", "number", "plain", "size_adjective", "adverb"}  # between a preposition and the name of an arm


@dataclass(frozen=True)
class Token:
    """A word or sign with its place in the text, small letters, and the parts that it may play."""

    start: int
    end: int
    text: str
    roles: frozenset[str]


@dataclass(frozen=True)
class Reading:
    """A sentence with its tokens.

    roles: every part that occurs. shape: the tokens as one line of parts, in which chains are looked for; places, ends: where each begins
    and ends there.
    """

    text: str
    tokens: tuple[Token, ...]
    mentions: tuple[Mention, ...]
    measures: tuple[str, ...]
    languages: tuple[str, ...]
    roles: frozenset[str]
    shape: str = field(repr=False)
    places: dict[int, int] = field(repr=False)
    ends: dict[int, int] = field(repr=False)

    def find(self, chain: str) -> Iterator[tuple[int, int]]:
        """First and last token of every place at which a chain of parts occurs."""
        pattern, needed = _chain(chain)
        if any(not one & self.roles for one in needed):
            return
        for match in pattern.finditer(self.shape):
            if match.end() > match.start():
                yield self.places[match.start()], self.ends[match.end()]

    def has(self, chain: str) -> bool:
        """Whether a chain occurs."""
        return next(self.find(chain), None) is not None

    def span(self, first: int, last: int) -> tuple[int, int]:
        """Where some tokens stand in the text."""
        return self.tokens[first].start, self.tokens[last].end

    def words(self) -> list[str]:
        """The words without signs, in small letters."""
        return [one.text for one in self.tokens if one.text[:1].isalnum()]


def read(text: str, vocabulary: Vocabulary, fallback: tuple[str, ...] = ()) -> Reading:
    """A sentence by its parts.

    Parameters
    ----------
    text : str
        One sentence with plain signs.
    vocabulary : Vocabulary
        The words for measures and arms.
    fallback : tuple of str
        The languages of the text around it, for a sentence that does not show its own.

    Returns
    -------
    Reading
    """
    languages = languages_of(text) or _by_table(text) or fallback or tuple(TABLES)
    mentions, spans = vocabulary.mentions(text), vocabulary.measure_spans(text)
    tokens = _with_doers(_merged(_pieces(text), mentions, spans, languages, is_on_glass=vocabulary.is_on_glass), mentions)
    is_of_primary = any("measure" in one.roles for one in tokens)  # by a word for the glass
    measures = vocabulary.measures_in(text) or ((vocabulary.primary[0].measure,) if is_of_primary else ())
    shape, places, ends = "", {}, {}
    for number, one in enumerate(tokens):
        places[len(shape)] = number
        shape += f"<{'#' if is_number(one.text) else one.text.strip() or '-'}|.{'.'.join(sorted(one.roles))}.>"
        ends[len(shape)] = number
    return Reading(text, tuple(tokens), tuple(mentions), measures, languages,
                   frozenset(role for one in tokens for role in one.roles), shape, places, ends)


def languages_of(text: str) -> tuple[str, ...]:
    """The language of a text by its most common words; empty where neither shows more.

    >>> languages_of("Das ist der Beweis."), languages_of("This is the proof."), languages_of("0 : 1")
    (('german',), ('english',), ())
    """
    words = [word.lower() for word in re.findall(r"[^\W\d_]+", text)]
    counts = {name: sum(word in marks for word in words) for name, marks in _MARKS.items()}
    counts["german"] += sum(bool(re.search("[äöüß]", word)) for word in words)
    if counts["english"] == counts["german"]:
        return ()
    return (max(counts, key=lambda name: counts[name]),)


def _by_table(text: str) -> tuple[str, ...]:
    """The language whose table knows more of the words; empty where both know as many."""
    words = [piece for _, _, piece in _pieces(text)]
    counts = {language: sum(bool(_roles_of((word,), (language,))) for word in words) for language in TABLES}
    best = max(counts.values())
    return tuple(language for language, count in counts.items() if count == best) if min(counts.values()) < best else ()


@functools.cache
def _chain(chain: str) -> tuple[re.Pattern[str], tuple[frozenset[str], ...]]:
    """A chain as a pattern over the line of parts, and of which parts one must occur so that looking pays."""
    parts = chain.split()
    needed = tuple(frozenset(part.split("/")) for part in parts if part[0].isalpha() and part[-1] not in "*?")
    return re.compile("".join(_element(part) for part in parts)), needed


def _element(part: str) -> str:
    if part in ("^", "$"):
        return r"(?:^|(?<=\.stop\.>)|(?<=\.comma\.>))" if part == "^" else r"(?=$|<[^<>]*\.(?:stop|comma)\.)"
    if part.startswith("~~"):
        return rf"(?:<(?!;)[^<>]*>){{0,{part[2:]}}}?"
    if part.startswith("~"):
        return rf"(?:<(?![;,])[^<>]*>){{0,{part[1:]}}}?"
    if part.startswith("!"):
        return f"(?!{_element(part[1:])})"
    if part[-1] in "*?":
        return f"(?:{_element(part[:-1])}){{0,{4 if part[-1] == '*' else 1}}}"
    if part.startswith("'"):
        return rf"<(?:{part.strip(chr(39)).replace('/', '|')})\|[^<>]*>"
    return rf"<[^<>]*\.(?:{part.replace('/', '|')})\.[^<>]*>"


def _pieces(text: str) -> list[tuple[int, int, str]]:
    return [(match.start(), match.end(), match.group().lower()) for match in _TOKEN.finditer(text)]


@functools.cache
def _lookup(language: str) -> tuple[dict[tuple[str, ...], set[str]], dict[str, int], dict[str, list[tuple[str, str]]],
                                   list[tuple[str, str]]]:
    """A table turned round: parts by words, the longest run of words that begins with one, and parts by beginnings of words."""
    exact: dict[tuple[str, ...], set[str]] = {}
    longest: dict[str, int] = {}
    begun: dict[str, list[tuple[str, str]]] = {}
    ended: list[tuple[str, str]] = []
    for role, listed in TABLES[language].items():
        for words in (one.strip() for one in listed.split(",")):
            if words.startswith("*"):
                ended.append((words[1:], role))
                continue
            run = tuple(piece for _, _, piece in _pieces(words.rstrip("*")))
            if words.endswith("*"):
                begun.setdefault(run[-1][:3], []).append((run[-1], role))
                continue
            exact.setdefault(run, set()).add(role)
            longest[run[0]] = max(longest.get(run[0], 1), len(run))
    return exact, longest, begun, ended


def _merged(pieces: Sequence[tuple[int, int, str]], mentions: Sequence[Mention], measures: Sequence[tuple[int, int]],
            languages: Sequence[str], *, is_on_glass: bool) -> list[Token]:
    """Words put together to arms and to the longest runs that stand in a table."""
    tokens: list[Token] = []
    place = 0
    while place < len(pieces):
        start, end, text = pieces[place]
        arm = next((one for one in mentions if one.start <= start < one.end), None)
        if arm is not None:
            count = sum(1 for first, _, _ in pieces[place:] if first < arm.end)
            roles, run = {arm.role}, tuple(piece for _, _, piece in pieces[place:place + count])
        else:
            count, roles, run = _run(pieces, place, mentions, languages)
        end = pieces[place + count - 1][1]
        if any(first < end and start < last for first, last in measures) or ("surface" in roles and is_on_glass):
            roles |= {"measure"}
        if not roles and text[0].isalpha() and len(text) > 1:
            roles = {"plain"}
        tokens.append(Token(start, end, " ".join(run), frozenset(roles)))
        place += count
    return tokens


def _run(pieces: Sequence[tuple[int, int, str]], place: int, mentions: Sequence[Mention],
         languages: Sequence[str]) -> tuple[int, set[str], tuple[str, ...]]:
    text = pieces[place][2]
    if not text[0].isalnum() and text[0] not in "'%n=":
        return 1, {"comma"} if text == "," else {"stop"}, (text if text == "," else ";",)
    if is_number(text):
        return 1, {"number"}, (text,)
    if text[-1].isdigit():
        return 1, {"name"}, (text,)
    free = _words_before_arm(pieces, place, mentions) if mentions else len(pieces)
    for count in range(min(free, len(pieces) - place, max(_lookup(language)[1].get(text, 1) for language in languages)), 0, -1):
        run = tuple(piece for _, _, piece in pieces[place:place + count])
        roles = _roles_of(run, tuple(languages))
        if roles or count == 1:
            return count, set(roles), run
    raise AssertionError("a run has at least one word")


def _words_before_arm(pieces: Sequence[tuple[int, int, str]], place: int, mentions: Sequence[Mention]) -> int:
    """How many words may be put together before the name of an arm begins."""
    return next((step for step, (start, _, _) in enumerate(pieces[place:]) if any(one.start <= start < one.end for one in mentions)),
                len(pieces))


@functools.lru_cache(maxsize=4096)
def _roles_of(run: tuple[str, ...], languages: tuple[str, ...]) -> frozenset[str]:
    """The parts that a word, or some words together, may play."""
    tables = [_lookup(language) for language in languages]
    roles = {role for exact, *_ in tables for role in exact.get(run, ())}
    if len(run) == 1:
        roles |= {role for _, _, begun, _ in tables for beginning, role in begun.get(run[0][:3], ()) if run[0].startswith(beginning)}
        roles |= {role for *_, ended in tables for ending, role in ended if run[0].endswith(ending)}
    return frozenset(roles)


def _with_doers(tokens: list[Token], mentions: Sequence[Mention]) -> list[Token]:
    """The changed arm as the doer of what follows: not behind a preposition, not held against, and not the name of tanks."""
    compared = {one.start for one in mentions if one.is_compared}
    told = []
    for place, one in enumerate(tokens):
        more = set(one.roles)
        if {"changed", "means", "reference"} & more:
            before = next((other for other in reversed(tokens[:place]) if not _BESIDE_NAMES & other.roles
                           or {"prep", "not"} & other.roles), None)
            is_behind = before is not None and bool({"prep", "thanks", "reference"} & before.roles) and not {"comma", "stop"} & before.roles
            follows = tokens[place + 1].roles if place + 1 < len(tokens) else frozenset()
            next_text = tokens[place + 1].text if place + 1 < len(tokens) else ""
            is_side = one.text.endswith(("becken", "aquarium", "aquarien", "tank", "tanks")) or (
                "place" in follows or next_text in ("arm", "arms", "group", "side", "unit", "units", "half", "row"))
            if is_side:
                more.add("side")
            elif "reference" not in more and not is_behind and one.start not in compared:
                more.add("doer" if "changed" in more else "actor")
        told.append(Token(one.start, one.end, one.text, frozenset(more)))
    return told
