"""One photo's way to a sentence, through the real functions: render, folder, read, measure, series, judge, sentence, report."""

import dataclasses
import json

import pytest

from fairtank.inference import compare, judge
from fairtank.publish.content import ReportContent
from fairtank.publish.findings_file import findings_text
from fairtank.publish.phrases import plain_text
from fairtank.publish.report import write_report
from fairtank.publish.sentences import sentence
from fairtank.records.folder import read_folder, write_folder
from fairtank.records.services.measuring import folder_measure
from fairtank.records.services.pictures import unit_pictures
from fairtank.records.snapshot import series_of
from fairtank.records.store import Store
from fairtank.simulation import render_photo, scenario, strokes_on
from fairtank.trial import Label

SIZE = (1024, 768)
LAST_DAY = 3
PAINTED = (("T1", 1), ("T2", 3))


@pytest.fixture(scope="module")
def walk(tmp_path_factory):
    """Two invented tanks, four days, eight rendered photos, and what each step made of them."""
    whole = scenario("cover_glass")
    plan = dataclasses.replace(whole.plan, days=LAST_DAY)
    trial = dataclasses.replace(whole, plan=plan, photo_size=SIZE, labelled=PAINTED, events=(), readings=())
    rendered = {photo.path: render_photo(trial, photo.unit, photo.day, SIZE) for photo in trial.photos}
    files = {path: photo.jpeg_bytes() for path, photo in rendered.items()}
    labels = []
    for photo in trial.label_photos:
        label = Label(photo.path, f"labels/{photo.path.split('/')[1].removesuffix('.jpg')}.png")
        files[label.path] = _png(strokes_on(trial, rendered[photo.path].truth, photo, 1))
        labels.append(label)
    root = tmp_path_factory.mktemp("walk") / "trial"
    write_folder(root, plan, picture=files.__getitem__, labels=labels, photos=trial.photos, frames=trial.frames, zones=trial.zones,
                 label_classes=trial.label_classes)
    folder = read_folder(root)
    measured = folder_measure(folder=folder, store=Store(root / ".fairtank"), workers=1)
    series = series_of(folder, measured)
    findings = judge(folder.plan, series, folder.events)
    content = ReportContent(folder, findings, series, measured.qualities, folder.digest, unit_pictures(folder, measured))
    report = write_report(content, root / "out")
    return {"rendered": rendered, "folder": folder, "measured": measured, "series": series, "findings": findings, "report": report}


def _png(picture) -> bytes:
    import io

    from PIL import Image

    out = io.BytesIO()
    Image.fromarray(picture).save(out, "PNG")
    return out.getvalue()


def test_the_folder_that_was_written_is_read_as_it_was_meant(walk):
    folder = walk["folder"]
    assert len(folder.photos) == len(walk["rendered"]) == 2 * (LAST_DAY + 1)
    assert [(unit.key, unit.arm) for unit in folder.plan.units] == [(unit.key, unit.arm) for unit in scenario("cover_glass").plan.units]
    assert len(folder.labels) == 2


def test_every_photo_is_placed_and_gives_values_near_its_truth(walk):
    """At a third of the usual resolution: cover within 4 points."""
    assert {row.quality for row in walk["measured"].qualities} == {"usable"}
    for row in walk["measured"].measured:
        if row.measure in ("plant_cover", "algae_cover") and row.zone == "":
            true = walk["rendered"][row.photo].truth.row()[row.measure]
            assert row.value == pytest.approx(true, abs=4), (row.photo, row.measure)


def test_the_values_of_a_photo_stand_in_its_tanks_series_on_its_day(walk):
    for row in walk["measured"].measured:
        if row.zone == "":
            (one,) = [series for series in walk["series"] if (series.unit, series.measure) == (row.unit, row.measure)]
            assert one.values[one.days.index(row.day)] == row.value


def test_one_tank_per_arm_makes_a_finding_that_claims_nothing(walk):
    """With one tank in each arm there is no spread between like tanks, so no interval: the finding is `alone`."""
    finding = walk["findings"][0]
    assert (finding.measure, finding.role, finding.grade) == ("algae_cover", "primary", "alone")
    assert (finding.n_reference, finding.n_changed) == (1, 1)
    assert (finding.low, finding.high, finding.df, finding.p_value) == (None, None, None, None)
    assert [(unit.days, unit.spoilt) for unit in finding.units] == [(LAST_DAY + 1, None)] * 2
    folder = walk["folder"]
    assert dataclasses.replace(finding, holm_p=None) == compare(folder.plan, folder.plan.measures[0], walk["series"], folder.events)


def test_the_levels_in_the_finding_are_those_of_the_photos(walk):
    finding = walk["findings"][0]
    for role, level in (("reference", finding.natural.reference), ("changed", finding.natural.changed)):
        unit = next(unit.key for unit in walk["folder"].plan.units if walk["folder"].plan.arm_of(unit.key).role == role)
        values = next(one.values for one in walk["series"] if (one.unit, one.measure) == (unit, "algae_cover"))
        assert min(values) <= level <= max(values)


def test_the_sentence_says_so_and_stands_in_the_report_and_in_findings_json(walk):
    finding, folder = walk["findings"][0], walk["folder"]
    said = plain_text(sentence(finding))
    assert "one tank" in said.lower()
    page = walk["report"].html.read_text(encoding="utf-8")
    assert said in " ".join(plain_text(page).split())
    assert walk["report"].pdf.read_bytes().startswith(b"%PDF")
    document = json.loads(findings_text(walk["findings"], folder.digest))
    assert document["findings"][0]["sentence"] == said
    assert document["inputs_digest"] == folder.digest
