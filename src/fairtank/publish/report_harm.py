"""Losses and side effects: what went wrong in which arm, what the change brings besides itself, and what silence is worth."""

import re
from collections.abc import Sequence

from fairtank.publish.arms import ArmLook
from fairtank.publish.blocks import Block, Bullets, Table, Words
from fairtank.publish.content import ReportContent
from fairtank.publish.even_words import factor_sentence
from fairtank.publish.numbers import in_a_row, shown
from fairtank.publish.phrases import capital, so_many
from fairtank.publish.setup import event_days
from fairtank.trial import Event, Plan

# Kinds that the round offers for what can harm, and beginnings of words by which people write of harm; common practice, no source.
HARM_KINDS = ("animals", "failure")
_WORDS = re.compile(r"\b(lost|loss|losses|dead|dying|died|deaths?|kill\w*|melt\w*|rott\w*|sick\w*|disease\w*|ill|gasp\w*|jump\w*|stress\w*|"
                    r"escap\w*|leak\w*|flood\w*|overflow\w*|crack\w*|burn\w*|shocks?|bloom\w*|yellowing|shed|shedding|harm\w*|hurt\w*|"
                    r"injur\w*|fail\w*|broke\w*|poison\w*|overdos\w*)\b", re.IGNORECASE)
NONE_RECORDED = ("No loss, melting, sickness, leak or failure was written down. “None recorded” is not “none happened”: there was no fixed "
                 "list to go through, only what the keeper noticed and wrote down.")
AS_NOTICED = "Losses and side effects were written down as they were noticed; there was no fixed list to go through."


def harm_events(events: Sequence[Event]) -> tuple[Event, ...]:
    """The events that tell of harm, by their kind or by the words in their note."""
    return tuple(event for event in events
                 if event.kind.strip().casefold() in HARM_KINDS or _WORDS.search(event.kind) or _WORDS.search(event.note))


def harm_blocks(content: ReportContent, looks: dict[str, ArmLook]) -> tuple[Block, ...]:
    """What went wrong, by arm; then what comes along with the change."""
    folder = content.folder
    found = sorted(harm_events(folder.events), key=lambda event: (event.day_from, event.kind))
    blocks: list[Block] = []
    if found:
        rows = tuple((event_days(event), _where(event, folder.plan, looks), shown(event.kind), shown(event.note)) for event in found)
        blocks += [Words(f"{_by_arm(found, folder.plan, looks)} {AS_NOTICED}"),
                   Table("Losses, failures and other harm that was written down", ("Day", "Where", "What", "Note"), rows, wide=(1, 3))]
    else:
        blocks.append(Words(NONE_RECORDED))
    brought = () if content.evenness is None else content.evenness.with_verdict("side_effect")
    if brought and content.evenness is not None:
        blocks += [Words("What the change brings besides itself:"),
                   Bullets(tuple(factor_sentence(check, content.evenness, looks) for check in brought))]
    return tuple(blocks)


def _where(event: Event, plan: Plan, looks: dict[str, ArmLook]) -> str:
    if not event.units:
        return "all tanks"
    letters = {unit.key: looks[unit.arm].letter for unit in plan.units}
    return ", ".join(f"{shown(unit)} (arm {letters[unit]})" if unit in letters else shown(unit) for unit in event.units)


def _by_arm(events: Sequence[Event], plan: Plan, looks: dict[str, ArmLook]) -> str:
    """How many of them were in which arm; an event in several arms counts in each."""
    arms = {unit.key: unit.arm for unit in plan.units}
    counts = {key: sum(not event.units or any(arms.get(unit) == key for unit in event.units) for event in events) for key in looks}
    told = in_a_row(f"{count} in arm {looks[key].letter}" for key, count in counts.items())
    return capital(f"{so_many(len(events), 'such event')} {'was' if len(events) == 1 else 'were'} written down: {told}.")
