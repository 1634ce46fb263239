"""Rows: what the shelf keeps in its database, one file per topic; the rules that a row must obey stand in the database itself.

fields    columns of our own, and the two abstract rows all others grow from
trial     trials, arms, units, measures, and the texts of a trial's folder
diary     readings, events, chores done, rounds, what was written down of each unit, what was weighed in
photos    photos, frames, zones, strokes, audit points, cards and lenses
scores    people's scores and choices, and the seats from which they were given
shelf     tanks and materials
results   values taken from photos, and answers that jobs worked out
jobs      work that goes on behind the pages
people    who may do what: members, invitations, phones, pairing codes, tries that were counted
trail     who changed what when
"""

from fairtank.records.models.diary import BuildLine, ChoreDone, Event, FactorValue, Reading, Round, SeriesValue, SpreadEntry
from fairtank.records.models.jobs import Job
from fairtank.records.models.people import Attempt, Device, Invitation, Member, PairingCode
from fairtank.records.models.photos import AuditPoint, Card, Frame, LabelClass, Lens, Photo, Stroke, Zone
from fairtank.records.models.results import Measurement, Result
from fairtank.records.models.scores import PairChoice, Score, Seat
from fairtank.records.models.shelf import Material, Tank, TankNote
from fairtank.records.models.trail import Change, Setting
from fairtank.records.models.trial import Arm, Document, Measure, Trial, Unit

__all__ = [
    "Arm", "Attempt", "AuditPoint", "BuildLine", "Card", "Change", "ChoreDone", "Device", "Document", "Event", "FactorValue",
    "Frame", "Invitation", "Job", "LabelClass", "Lens", "Material", "Measure", "Measurement", "Member", "PairChoice", "PairingCode",
    "Photo", "Reading", "Result", "Round", "Score", "Seat", "SeriesValue", "Setting", "SpreadEntry", "Stroke", "Tank", "TankNote",
    "Trial", "Unit", "Zone",
]
