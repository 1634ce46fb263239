"""What the words for a film are made from."""

from dataclasses import dataclass

from fairtank.chore import ChoreDone
from fairtank.finding import Finding
from fairtank.publish.content import ReportContent
from fairtank.publish.film.timeline import Timeline
from fairtank.trial import Event, Plan

NONE_STATED = "none stated"


@dataclass(frozen=True, eq=False)
class WordsContent:
    """A trial that was read, and the times of its film.

    report: what its report tells. timeline: of the film; None where there is none. seal_code: of the sealed plan; empty where it is not
    sealed. kit_link: the address at which others find the kit; empty where it is not known yet.
    """

    report: ReportContent
    timeline: Timeline | None = None
    seal_code: str = ""
    kit_link: str = ""

    @property
    def plan(self) -> Plan:
        """The trial's plan."""
        return self.report.folder.plan

    @property
    def events(self) -> tuple[Event, ...]:
        """The diary's events."""
        return self.report.folder.events

    @property
    def chores_done(self) -> tuple[ChoreDone, ...]:
        """The chores that were done."""
        return self.report.folder.chores_done

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings."""
        return self.report.findings

    @property
    def primary(self) -> tuple[Finding, ...]:
        """Those that answer the question."""
        return tuple(one for one in self.findings if one.role == "primary") or self.findings[:1]

    @property
    def secondary(self) -> tuple[Finding, ...]:
        """The others."""
        return tuple(one for one in self.findings if one not in self.primary)
