"""The card before the days: what was asked, what differs, how it was fixed. The card behind them: the finding as it is spoken, whole."""

from collections.abc import Sequence

from fairtank.finding import Finding
from fairtank.publish.arms import ArmLook
from fairtank.publish.film import lettering
from fairtank.publish.film.cells import Layout
from fairtank.publish.film.items import SOFT, Item, Stroke, Words, rgb_of
from fairtank.publish.film.settled import Film, Page
from fairtank.publish.numbers import shown
from fairtank.publish.phrases import counted, word_of
from fairtank.publish.sentences import spoken_sentence
from fairtank.trial import Arm, Plan

WORDS_PER_SECOND = 4.5
# Letters of the closing sentence, in parts of the smallest letters; the largest ones in which it is one page.
_LETTERS = (2.9, 2.6, 2.3, 2.0, 1.8, 1.6)
_MOST_LINES = 4  # of the question, in the largest letters that allow it
_SIDE = 0.09  # of the width, left free on either side


def reading_seconds(text: str) -> float:
    """How long it takes to read a text once. [s]

    >>> reading_seconds("one two three four five six seven eight nine")
    3.0
    """
    return 1.0 + len(text.split()) / WORDS_PER_SECOND


def _room(layout: Layout) -> tuple[int, int]:
    """Width and height that a card's words may take. [px]"""
    width, height = layout.size_px
    return round(width * (1 - 2 * _SIDE)), height - 2 * layout.foot.height - 4 * layout.margin_px


def closing_pages(findings: Sequence[Finding], layout: Layout) -> tuple[Page, ...]:
    """The sentences of the findings as pages of lines: each finding begins a page, and a long one takes several.

    Parameters
    ----------
    findings : sequence of Finding
        Of the primary measure.
    layout : Layout

    Returns
    -------
    tuple of Page
        No word of `sentences.spoken_sentence` is left out and none is added.
    """
    pages: list[Page] = []
    for text in dict.fromkeys(shown(spoken_sentence(finding)) for finding in findings):
        size = letters_px([text], layout)
        lines = lettering.wrapped(text, _room(layout)[0], size)
        most = max(int(_room(layout)[1] / (size * lettering.LINE_HEIGHT)), 1)
        pages += [Page(tuple(lines[begin:begin + most]), size) for begin in range(0, len(lines), most)]
    return tuple(pages)


def letters_px(texts: Sequence[str], layout: Layout) -> int:
    """The largest letters in which all texts fit below each other; the smallest ones where none do."""
    room_wide, room_high = _room(layout)
    for factor in _LETTERS:
        size = round(factor * layout.small_px)
        lines = sum(len(lettering.wrapped(text, room_wide, size)) for text in texts)
        if lines * size * lettering.LINE_HEIGHT <= room_high:
            return size
    return round(_LETTERS[-1] * layout.small_px)


def opening_items(film: Film) -> list[Item]:
    """The card before the days.

    Parameters
    ----------
    film : Film

    Returns
    -------
    list of Item
    """
    plan, layout, looks = film.plan, film.layout, film.looks
    small, body = round(1.15 * layout.small_px), round(1.6 * layout.small_px)
    left, room = round(layout.size_px[0] * _SIDE), _room(layout)[0]
    asked = shown(plan.question) or shown(plan.change) or shown(plan.title)
    big = next((size for size in (round(factor * layout.small_px) for factor in _LETTERS)
                if len(lettering.wrapped(asked, room, size, bold=True)) <= _MOST_LINES), body)
    question = lettering.wrapped(asked, room, big, bold=True)
    arms = [(look, lettering.wrapped(_arm_words(plan, plan.arm(key), look), room - 5 * body, body)) for key, look in looks.items()]
    facts = _facts(film)
    step, big_step = round(body * 1.6), round(big * lettering.LINE_HEIGHT)
    rows = sum(len(lines) for _, lines in arms) + len(facts) + 2.7
    y = max(round((layout.size_px[1] - len(question) * big_step - rows * step) / 2), layout.margin_px)
    items: list[Item] = []
    for line in question:
        items.append(Words(line, left, y, big, bold=True))
        y += big_step
    y += round(0.8 * step)
    if len(arms) > 1:
        items.append(Words("What differs:", left, y, small, SOFT))
        y += round(1.1 * step)
    for look, lines in arms:
        items += _arm_lines(look, lines, left, y, body, step)
        y += len(lines) * step
    y += round(0.8 * step)
    for line in facts:
        items.append(Words(lettering.fitted(line, room, small), left, y, small, SOFT))
        y += round(small * 1.6)
    return items


def _arm_words(plan: Plan, arm: Arm, look: ArmLook) -> str:
    """An arm's name, and what it means where the plan says more than the name does."""
    name = "" if look.is_nameless else shown(look.label)
    more = shown(plan.reference if arm.role == "reference" else plan.change) if len(plan.arms) == 2 else ""
    return ": ".join(part for part in (name, more) if part) if more != name else name


def _arm_lines(look: ArmLook, lines: Sequence[str], left: int, y: int, body: int, step: int) -> list[Item]:
    colour, thick = rgb_of(look.colour), max(round(body / 7), 2)
    middle = y + round(0.62 * body)
    items: list[Item] = [Stroke(((left, middle), (left + 2.4 * body, middle)), colour, thick, dash_px(look, thick)),
                         Words(look.letter, left + 3 * body, y, body, bold=True)]
    return items + [Words(line, left + 5 * body, y + number * step, body) for number, line in enumerate(lines)]


def dash_px(look: ArmLook, thick: int) -> tuple[int, ...]:
    """An arm's dashes for a line of that thickness. [px]"""
    return tuple(round(part * thick / 2) for part in look.dash)


def _facts(film: Film) -> list[str]:
    plan = film.plan
    word = word_of(plan)
    told = f"{counted(len(film.photos), word).capitalize()}"
    told += "" if len(film.photos) == len(plan.units) else f" of {len(plan.units)}"
    drawn = "; the arms were drawn by lot" if plan.drawn else ""
    code = film.content.seal_code
    return [f"{told}, day 0 to day {plan.days}{drawn}.", f"Plan sealed, code {code}" if code else "The plan was not sealed."]


def closing_items(film: Film, page: int) -> list[Item]:
    """One page of the card behind the days; the sentence stands as `publish.sentences` gives it to viewers.

    Parameters
    ----------
    film : Film
    page : int
        From 0.

    Returns
    -------
    list of Item
    """
    layout, lines, size = film.layout, film.closing[page].lines, film.closing[page].size_px
    step, left = round(size * lettering.LINE_HEIGHT), round(layout.size_px[0] * _SIDE)
    y = (layout.size_px[1] - len(lines) * step) // 2
    items: list[Item] = [Words(line, left, y + number * step, size) for number, line in enumerate(lines)]
    if len(film.closing) > 1:
        items.append(Words(f"{page + 1} of {len(film.closing)}", layout.size_px[0] - left, layout.size_px[1] - 2 * layout.foot.height,
                           layout.small_px, SOFT, anchor="right"))
    return items
