"""The seal in the pages: the plan sealed, a change told and sealed again with a reason, the data stamped, all of it verified."""

import pytest
from tests.web.planned_trials import page_text, planned_trial


@pytest.fixture
def trial(asked):
    """A planned trial that was drawn."""
    found = planned_trial()
    asked.post(f"{found.get_absolute_url()}draw/", {"seed": "1", "sure": "yes"})
    return found


def test_the_plan_is_sealed_and_its_code_is_shown(asked, trial):
    address = f"{trial.get_absolute_url()}seal/"
    assert "Seal the plan" in page_text(asked.get(address))
    assert asked.post(address).status_code == 303
    trial.refresh_from_db()
    page = page_text(asked.get(address))
    assert trial.seal_code
    assert f"</span>{trial.seal_code}</p>" in page
    verified = page_text(asked.get(f"{address}verify/"))
    assert "Nothing of the sealed plan was changed." in verified
    assert "“Stamp what is recorded” on the page “Seal” stamps them." in verified


def test_sealing_twice_changes_nothing(asked, trial):
    from fairtank.records.models import Change

    address = f"{trial.get_absolute_url()}seal/"
    asked.post(address)
    count = Change.objects.count()
    asked.post(address)
    assert Change.objects.count() == count
    assert "It is sealed already" in page_text(asked.get(address))


def test_a_change_after_the_seal_is_told_and_needs_a_reason(asked, trial):
    from fairtank.records.models import Document

    base = trial.get_absolute_url()
    asked.post(f"{base}seal/")
    text = Document.objects.get(trial=trial, path="trial.toml").text
    asked.post(f"{base}plan/text/", {"text": text.replace("days = 42", "days = 35"), "reason": "shorter"})
    page = page_text(asked.get(f"{base}seal/"))
    assert "The plan was changed since it was sealed." in page
    refused = asked.post(f"{base}seal/")
    assert refused.status_code == 422
    assert "with a reason" in page_text(refused)
    assert asked.post(f"{base}seal/", {"reason": "a holiday"}).status_code == 303
    assert "a holiday" in page_text(asked.get(f"{base}seal/"))


def test_data_are_stamped_and_a_key_signs_without_being_kept(asked, trial, shelf, tmp_path):
    from django.core.files.uploadedfile import SimpleUploadedFile

    from fairtank.records.folder.seal_signature import key_make
    from fairtank.records.models import Document

    code = key_make(tmp_path / "my.key")
    key = (tmp_path / "my.key").read_bytes()
    address = f"{trial.get_absolute_url()}seal/"
    assert asked.post(address, {"key": SimpleUploadedFile("my.key", key)}).status_code == 303
    assert asked.post(address, {"what": "data"}).status_code == 303
    page = page_text(asked.get(f"{address}verify/"))
    assert code in page
    assert not any(key in bytes(one.content) for one in Document.objects.all())
    assert not any(key in place.read_bytes() for place in shelf.rglob("*") if place.is_file())


def test_what_is_no_key_is_refused(asked, trial):
    from django.core.files.uploadedfile import SimpleUploadedFile

    page = asked.post(f"{trial.get_absolute_url()}seal/", {"key": SimpleUploadedFile("a.key", b"no key at all")})
    assert page.status_code == 422
    trial.refresh_from_db()
    assert not trial.seal_code
