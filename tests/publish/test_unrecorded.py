"""The honest list of what was not recorded."""

from dataclasses import replace
from datetime import UTC, datetime

from invented_trials import dark_break, one_cover_glass

from fairtank.finding import Eyes
from fairtank.publish.audit_words import NOT_CHECKED
from fairtank.publish.unrecorded import unrecorded
from fairtank.seal import Seal, Sealing
from fairtank.trial import CarriedValues


def test_a_bare_trial_names_all_that_is_missing():
    said = " ".join(unrecorded(one_cover_glass()))
    for words in ("not drawn by lot", "not sealed", "no photos", "No build sheet", "No water tests", "No events", "Where the tanks stood"):
        assert words in said
    assert "No reason was given" not in said


def test_cover_without_audit_points_carries_the_measurers_bias():
    assert ("No audit points were answered by a person: cover and area carry the measurer's own unknown bias. A change that alters how the "
            "photos look (light, colour of the water) can shift that bias in one arm only.") in unrecorded(dark_break())


def test_a_map_that_nobody_checked_is_told_among_the_cautions_and_not_once_more():
    content = dark_break()
    findings = tuple(replace(finding, cautions=(*finding.cautions, NOT_CHECKED)) for finding in content.findings)
    assert not any("audit" in text for text in unrecorded(replace(content, findings=findings)))


def test_values_that_a_kit_carries_are_told_by_where_they_came_from():
    content, eyes = dark_break(), Eyes("scores", "use", 2, 10, 20, "")
    told = {}
    for kind, carried in (("photos", CarriedValues("algae_cover")), ("people", CarriedValues("algae_cover", eyes=eyes))):
        said = unrecorded(replace(content, folder=replace(content.folder, carried=(carried,), photos=())))
        told[kind] = [text for text in said if "not in this folder" in text]
    assert told == {"photos": ["The values were measured on photos that are not in this folder; they cannot be measured again."],
                    "people": ["People looked at photos that are not in this folder; nobody can look at them again."]}


def test_what_was_recorded_is_not_complained_about():
    content = dark_break()
    plan = replace(content.folder.plan, rationale="Algae need an even day.", disclosure="None.", blinded=True)
    sealing = Sealing(datetime(2026, 2, 28, tzinfo=UTC), {}, "00" * 32, "AAAAA-AAAAA", 0, 0, "")
    said = unrecorded(replace(content, folder=replace(content.folder, plan=plan, seal=Seal((sealing,), {}))))
    assert [text for text in said if "audit" not in text and "told by colour" not in text] == []


def test_a_measure_that_needs_a_caution_brings_it_along():
    content = dark_break()
    assert any("told by colour" in text for text in unrecorded(content))
    colour = replace(content.folder.plan.measures[0], key="plant_redness")
    plan = replace(content.folder.plan, measures=(colour,))
    said = unrecorded(replace(content, folder=replace(content.folder, plan=plan)))
    assert not any("told by colour" in text for text in said)
