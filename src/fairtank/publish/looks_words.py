"""Planned looks in words: that a trial goes on, that it was stopped, and what the looks before said."""

from dataclasses import replace

from fairtank.finding import Finding, Look
from fairtank.publish.amounts import estimate_words
from fairtank.publish.numbers import NO_BREAK, number, p_words, trimmed
from fairtank.trial import Plan

LOOKS_CAPTION = "What the planned looks before said, each read at its own share of the 5 %"
LOOKS_HEAD = ("Look", "Estimate with interval", "Interval", "p", "Grade")
LOOKS_WHY = ("Looking early costs: every planned look spends a share of the 5 % of false alarms, and all shares together stay within it. "
             "On any other day no interval is told, however often somebody looks.")


def look_words(finding: Finding) -> str:
    """For the headline: that the finding is that of a planned look, and whether the trial goes on or was stopped; else empty."""
    facts = dict(finding.facts)
    if finding.grade == "spoilt" or "look" not in facts:
        return ""
    which = f"planned look {facts['look']:.0f} of {facts['looks_planned']:.0f}, on day {facts['look_day']:.0f}"
    if "stopped_on" in facts:
        return f"The trial ended on day {facts['stopped_on']:.0f}; this is {which}."
    left, day = round(facts["looks_left"]), f"{facts['next_look_day']:.0f}"
    to_come = f"The look still to come, on day {day}," if left == 1 else f"The {left} looks still to come, the next on day {day},"
    return f"The trial goes on: this is {which}. {to_come} may spend {_percent(facts['share_left'])} of the 5{NO_BREAK}%."


def earlier_looks_words(finding: Finding) -> str:
    """In one sentence what the planned looks before this reading said; empty without any."""
    if not finding.looks:
        return ""
    told = [f"day {look.day}: {look.grade} ({_percent(look.level)} interval)" for look in finding.looks]
    return f"Planned looks before this one: {'; '.join(told)}."


def looks_rows(finding: Finding) -> tuple[tuple[str, ...], ...]:
    """One row for each earlier look, under LOOKS_HEAD: its day, the estimate with its interval, the interval's level, p and grade."""
    return tuple((f"day {look.day}", estimate_words(_as_finding(finding, look)), _percent(look.level),
                  "none" if look.p_value is None else p_words(look.p_value), look.grade) for look in finding.looks)


def looks_method(plan: Plan) -> str:
    """For the methods: which looks were planned and what each may spend; empty where the trial is read once."""
    if len(plan.looks.days) < 2:
        return ""
    shares = [f"day {day}: {_percent(share)}" for day, share in zip(plan.looks.days, plan.looks.budget, strict=True)]
    return f"{len(shares)} looks at the primary measure were planned ({', '.join(shares)}). {LOOKS_WHY}"


def _as_finding(finding: Finding, look: Look) -> Finding:
    """The finding as it stood at a look, as far as a table shows it."""
    return replace(finding, level=look.level, estimate=look.estimate, low=look.low, high=look.high, p_value=look.p_value, grade=look.grade,
                   natural=look.natural)


def _percent(share: float) -> str:
    """A share as per cent, with no more decimals than it has.

    >>> from fairtank.publish.phrases import plain_text
    >>> plain_text(_percent(0.035)), plain_text(_percent(0.005)), plain_text(_percent(0.99))
    ('3.5 %', '0.5 %', '99 %')
    """
    return f"{trimmed(number(100 * share, 2))}{NO_BREAK}%"
