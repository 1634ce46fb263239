"""What is weighed in: kept once, never written over, told unequal where a scale can tell it."""

from dataclasses import replace

import pytest

SETUP = ('[[tank]]\nkeys = [{tanks}]\nlength_cm = 45\nwidth_cm = 28\nheight_cm = 36\nglass_mm = 6\nwater_line_cm = 32\n'
         '[[material]]\nkey = "clay"\nkind = "layer"\ntitle = "baked clay"\nbulk_density_kg_l = 0.9\nparticle_density_kg_l = 1.9\n'
         '[[layer]]\nmaterial = "clay"\nmass_kg = 5\n')


@pytest.fixture
def weighed(shelf):
    """A planned trial of four tanks with 5 kg of clay each, and what is planned."""
    from tests.web.planned_trials import planned_trial

    from fairtank.records.models import Document
    from fairtank.records.selectors.build import built_of
    from fairtank.records.services.shelf_setup import set_up

    trial = planned_trial()
    tanks = ", ".join(f'"{unit.key}"' for unit in trial.units.all())
    Document.objects.create(trial=trial, path="setup.toml", content=SETUP.format(tanks=tanks).encode())
    return trial, built_of(set_up(trial))


def weigh(weighed, unit, amount, **more):
    """Weigh clay into a unit."""
    from fairtank.records.services.trail import KEEPER
    from fairtank.records.services.weighing import Entry, weigh_in

    trial, built = weighed
    return weigh_in(trial=trial, by=KEEPER, unit=unit, built=built, entries={"baked clay": replace(Entry(amount), **more)})


def test_the_same_sent_twice_is_kept_once(weighed):
    from fairtank.records.models import BuildLine

    trial, _ = weighed
    revision = trial.revision
    assert weigh(weighed, "T1", 5.02, batch="B1") == 1
    assert weigh(weighed, "T1", 5.02, batch="B1") == 0
    row = BuildLine.objects.get()
    assert (row.unit.key, row.material, row.planned, row.weighed) == ("T1", "baked clay", 5, 5.02)
    assert (row.unit_of_measure, row.batch) == ("kg", "B1")
    trial.refresh_from_db()
    assert trial.revision == revision + 1
    assert trial.trail.first().said == "Weighed in T1: baked clay 5.02 kg."


def test_what_somebody_else_entered_meanwhile_is_not_written_over(weighed):
    from fairtank.records.models import BuildLine
    from fairtank.records.services.setup_lines import LineRefused

    weigh(weighed, "T1", 5.02)
    with pytest.raises(LineRefused, match=r"somebody else entered 5\.02 kg"):
        weigh(weighed, "T1", 4.9)
    assert BuildLine.objects.get().weighed == 5.02
    weigh(weighed, "T1", 4.9, was=5.02)
    assert BuildLine.objects.get().weighed == 4.9
    weigh(weighed, "T1", None, was=4.9)
    assert BuildLine.objects.get().weighed is None


def test_what_cannot_be_weighed_is_refused(weighed):
    from fairtank.records.services.setup_lines import LineRefused

    with pytest.raises(LineRefused, match="0 or more"):
        weigh(weighed, "T1", -1.0)
    with pytest.raises(LineRefused, match="0 or more"):
        weigh(weighed, "T1", float("nan"))
    with pytest.raises(LineRefused, match="no longer in the build"):
        weigh(weighed, "T9", 5.0)


def test_units_are_told_apart_only_where_a_scale_can_tell(weighed):
    from fairtank.records.selectors.build import unequal, weighings

    weigh(weighed, "T1", 5.0)
    weigh(weighed, "T2", 5.05)
    assert unequal(weighings(*weighed)) == []
    weigh(weighed, "T3", 5.2)
    apart = unequal(weighings(*weighed))[0]
    assert (apart.least, apart.most, apart.difference, apart.tolerance) == (("T1", 5.0), ("T3", 5.2), 0.2, 0.05)


def test_the_file_that_is_given_out_reads_as_what_was_weighed(weighed):
    from fairtank.records.selectors.build import build_file

    weigh(weighed, "T2", 5.01, note="damp")
    rows = build_file(weighed[0], "build.csv").decode().splitlines()
    assert rows[0] == "unit,material,kind,planned,weighed,unit_of_measure,batch,note"
    assert any(row.startswith("T2,baked clay,bed,5,5.01,kg,,damp") for row in rows)
