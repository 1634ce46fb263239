"""Frames: numbers in fields without script, refused with the reason, kept with zones, copied and taken away."""

import pytest
from tests.web.measured_trial import _trial, page  # noqa: F401 - a fixture

FIELDS = {"x1": "21", "y1": "22", "x2": "620", "y2": "20", "x3": "618,5", "y3": "460", "x4": "20", "y4": "458",
          "width_cm": "60", "height_cm": "44", "mode": "registered", "view": "front"}


def _unit(trial, key="T1"):
    from fairtank.records.models import Unit

    return Unit.objects.get(trial=trial, key=key)


def _send(asked, trial, **changed):
    return asked.post(f"/trials/{trial.slug}/frame/{_unit(trial).pk}/store", {**FIELDS, **changed})


def test_every_unit_stands_there_with_the_size_of_its_frame(asked, trial):
    text = page(asked, trial, "frame/")
    assert text.count("60 × 44\N{NO-BREAK SPACE}cm") == 2
    assert "Every tank with photos has a frame." in text


def test_the_frame_can_be_typed_and_its_corners_come_in_any_order(asked, trial):
    from fairtank.records.models import Frame

    turned = {"x1": "618.5", "y1": "460", "x3": "21", "y3": "22"}
    assert _send(asked, trial, **turned, zones="static | heater | 5 3; 7 3; 7 22; 5 22").status_code == 303
    frame = Frame.objects.get(unit=_unit(trial))
    assert frame.corners == [21, 22, 620, 20, 618.5, 460, 20, 458]
    assert [(zone.kind, zone.key) for zone in _unit(trial).zones.all()] == [("static", "heater")]
    text = page(asked, trial, f"frame/{_unit(trial).pk}/")
    assert "static | heater | 5 3; 7 3; 7 22; 5 22" in text
    assert "The frame of T1 is kept." in text


@pytest.mark.parametrize(("changed", "said"), [
    ({"x1": ""}, "A corner is empty"), ({"width_cm": "wide"}, "The width is “wide”"), ({"x2": "5000"}, "lies outside the photo"),
    ({"mode": "guess"}, "was not chosen"), ({"zones": "static | 5 3; 7 3"}, "a line such as"), ({"x1": "nan"}, "a number of px"),
    ({"zones": "static | far | 0 0; 90 0; 5 5"}, "reaches outside the frame"), ({"height_cm": "1e9"}, "a number of cm"),
])
def test_what_cannot_be_a_frame_is_told_and_what_was_typed_stays(asked, trial, changed, said):
    from html import unescape

    from fairtank.records.models import Frame

    answer = _send(asked, trial, **changed)
    assert answer.status_code == 422
    text = unescape(answer.content.decode())
    assert said in text
    assert 'value="618,5"' in text
    assert Frame.objects.get(unit=_unit(trial)).corners[0] == 20


def test_a_unit_of_another_trial_is_not_there(asked, trial):
    from fairtank.records.models import Trial

    page(asked, Trial.objects.create(title="Other", slug="other"), f"frame/{_unit(trial).pk}/", status=404)


def test_a_frame_is_copied_and_taken_away(asked, trial):
    from fairtank.records.models import Frame

    other = _unit(trial, "T2")
    frame = Frame.objects.get(unit=other)
    asked.post(f"/trials/{trial.slug}/frame/{other.pk}/remove/{frame.pk}")
    assert not Frame.objects.filter(unit=other).exists()
    assert "1 tank has photos and no frame yet" in page(asked, trial, "frame/")
    answer = asked.post(f"/trials/{trial.slug}/frame/{_unit(trial).pk}/copy", {"to": [str(other.pk)]}, follow=True)
    assert "Copied to T2." in answer.content.decode()
    assert Frame.objects.filter(unit=other).exists()


def test_the_size_of_a_tank_that_is_known_is_offered(asked, trial):
    from fairtank.records.models import Frame, Tank, Unit

    tank = Tank.objects.create(key="small", length_mm=450, width_mm=300, height_mm=360, glass_mm=5, water_mm=300)
    Unit.objects.filter(pk=_unit(trial).pk).update(tank=tank)
    Frame.objects.filter(unit=_unit(trial)).delete()
    text = page(asked, trial, f"frame/{_unit(trial).pk}/")
    assert 'name="width_cm" inputmode="decimal" required value="45"' in text
    assert 'name="height_cm" inputmode="decimal" required value="36"' in text
