"""An invented trial with a film, for the words that go with it."""

from dataclasses import replace
from datetime import datetime, timedelta

from tests.publish.invented_trials import dark_break, one_cover_glass

from fairtank.publish.film.timeline import timeline_of
from fairtank.publish.video_words.content import WordsContent
from fairtank.trial import Event

LONG_GAP = (*range(15), *range(22, 38))


def trial(days=tuple(range(38)), *, close_s=(7.0,), has_reveal=False, seconds_per_day=None, events=(), **plan):
    """Six tanks over 38 days with a film of these days."""
    content = dark_break(with_photos=False)
    folder = replace(content.folder, plan=replace(content.folder.plan, **plan), events=(*content.folder.events, *events))
    timeline = timeline_of(days, frames_per_second=30, open_s=(3.5,), close_s=close_s, has_reveal=has_reveal,
                           seconds_per_day=seconds_per_day)
    return WordsContent(replace(content, folder=folder), timeline, "ABCDE-12345", "https://example.org/kit")


def two_tanks():
    """One tank in each arm, without a film."""
    return WordsContent(one_cover_glass())


def event(day, kind, *units):
    """An event on a day."""
    return Event(units, datetime(2026, 3, 1, 19) + timedelta(days=day), None, day, day, kind)
