"""Accounts of a hosted installation: logging in and out, passwords, invitations, and the command that makes the first one."""

import json
import re
import time
from datetime import timedelta

import pytest
from tests.web.people import HOST, PASSWORD, account, hosted, keeper, logged_in, settings_of, visitor_of_site


@pytest.fixture
def site(shelf):
    """A hosted installation."""
    with hosted():
        yield


@pytest.fixture
def trial(site):
    """A trial of Ida's."""
    from fairtank.records.services.shelf_trials import trial_begin
    from fairtank.records.services.trail import By

    return trial_begin(by=By("ida", account("ida")), title="Ida’s trial")


def invitation_of(owner, trial, role="helper", note="Tom"):
    page = owner.post(f"/trials/{trial.slug}/members/invite/", {"role": role, "note": note}).content.decode()
    return re.search(rf'class="link">https://{HOST}/invited/#([\w-]+)<', page)[1]


def test_nobody_sees_a_page_before_logging_in_and_is_led_back_to_it_afterwards(site):
    account("ida")
    client = visitor_of_site()
    answer = client.get("/jobs/?page=2")
    assert (answer.status_code, answer.headers["Location"]) == (302, "/login/?next=%2Fjobs%2F%3Fpage%3D2")
    page = client.get(answer.headers["Location"]).content.decode()
    assert 'name="next" value="/jobs/?page=2"' in page
    assert "Nothing is sent by mail" in page
    answer = client.post("/login/", {"name": "IDA", "password": PASSWORD, "next": "/jobs/?page=2"})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/jobs/?page=2")
    assert client.get("/jobs/").status_code == 200


def test_what_a_script_sends_without_a_login_is_refused_and_not_led_to_another_page(site):
    client = visitor_of_site()
    assert client.get("/jobs/", headers={"sec-fetch-mode": "cors"}).status_code == 403
    answer = client.post("/trials/x/round/entries/", "{}", content_type="application/json")
    assert answer.status_code == 403
    assert "waits on this phone and is sent afterwards" in answer.content.decode()


@pytest.mark.parametrize("wanted", ["https://evil.test/", "//evil.test", "/\\evil.test", "javascript:alert(1)", "https:evil.test", "\thttps://evil.test"])
def test_a_login_leads_to_these_pages_alone(site, wanted):
    account("ida")
    client = visitor_of_site()
    assert "evil" not in client.get("/login/", {"next": wanted}).content.decode()
    assert client.post("/login/", {"name": "ida", "password": PASSWORD, "next": wanted}).headers["Location"] == "/account/"


@pytest.mark.parametrize(("name", "password"), [("ida", "wrong"), ("nobody", PASSWORD), ("", ""), ("ida", PASSWORD.upper()),
                                                ("ida", PASSWORD + " ")])  # fmt: skip
def test_a_wrong_password_and_an_unknown_name_get_the_same_answer(site, name, password):
    account("ida")
    answer = visitor_of_site().post("/login/", {"name": name, "password": password})
    assert answer.status_code == 422
    assert "That is not a name with its password." in answer.content.decode()


def test_an_unknown_name_takes_as_much_hashing_as_a_known_one(site):
    from unittest import mock

    from django.contrib.auth.hashers import Argon2PasswordHasher

    account("ida")
    made = []
    for name in ("ida", "nobody"):
        with mock.patch.object(Argon2PasswordHasher, "encode", autospec=True, side_effect=Argon2PasswordHasher.encode) as hashing, \
                mock.patch.object(Argon2PasswordHasher, "verify", autospec=True, side_effect=Argon2PasswordHasher.verify) as looking:
            visitor_of_site().post("/login/", {"name": name, "password": "wrong"})
        made.append(hashing.call_count + looking.call_count)
    assert made == [1, 1]


def test_an_account_that_is_tried_too_often_waits_whoever_tries_and_other_accounts_do_not(site):
    account("ida")
    account("tom")
    for place in range(10):
        wrong = visitor_of_site().post("/login/", {"name": "ida", "password": "x"}, headers={"x-forwarded-for": f"198.51.100.{place}"})
        assert wrong.status_code == 422
    answer = visitor_of_site().post("/login/", {"name": "Ida", "password": PASSWORD}, headers={"x-forwarded-for": "198.51.100.99"})
    assert answer.status_code == 429
    assert "Wait 15 minutes and try again" in answer.content.decode()
    assert logged_in("tom").get("/account/").status_code == 200


def test_an_address_that_tries_too_often_waits_and_cannot_pose_as_another_one(site):
    account("ida")
    for number in range(10):
        assert visitor_of_site().post("/login/", {"name": f"n{number}", "password": "x"}).status_code == 422
    forged = {"x-forwarded-for": "203.0.113.5, 198.51.100.7"}
    assert visitor_of_site().post("/login/", {"name": "ida", "password": PASSWORD}, headers=forged).status_code == 429
    other = {"x-forwarded-for": "198.51.100.7, 203.0.113.5"}
    assert visitor_of_site().post("/login/", {"name": "ida", "password": PASSWORD}, headers=other).status_code == 303


def test_tries_are_forgotten_after_their_time_and_by_the_right_password(site):
    from django.utils import timezone

    from fairtank.records.models import Attempt
    from fairtank.records.services.attempts import attempt_wait_s

    now, quarter = timezone.now(), timedelta(minutes=15)
    waits = [attempt_wait_s(kind="k", key="a", most=3, within=quarter, now=now + timedelta(minutes=minute)) for minute in (0, 1, 2, 3)]
    assert waits == [0, 0, 0, 12 * 60 + 1]
    assert attempt_wait_s(kind="k", key="b", most=3, within=quarter, now=now) == 0
    assert attempt_wait_s(kind="k", key="a", most=3, within=quarter, now=now + timedelta(minutes=15, seconds=1)) == 0
    assert "a" not in Attempt.objects.values_list("key_digest", flat=True)
    account("ida")
    for _ in range(3):
        for _ in range(8):
            visitor_of_site().post("/login/", {"name": "ida", "password": "x"})
        logged_in("ida")


def test_the_session_gets_another_key_at_login_and_is_of_no_use_after_logout(site):
    account("ida")
    client = visitor_of_site()
    client.session.save()
    before = client.session.session_key
    client.post("/login/", {"name": "ida", "password": PASSWORD})
    key = client.cookies["__Host-fairtank"].value
    assert key != before
    assert len(key) == 32
    answer = client.post("/logout/")
    assert (answer.status_code, answer.headers["Clear-Site-Data"]) == (303, '"cache"')
    again = visitor_of_site()
    again.cookies["__Host-fairtank"] = key
    assert again.get("/account/").status_code == 302
    assert client.get("/logout/").status_code == 405


def test_cookies_go_over_tls_alone_and_to_no_script(site):
    account("ida")
    client = visitor_of_site()
    client.get("/login/")
    client.post("/login/", {"name": "ida", "password": PASSWORD})
    for name in ("__Host-fairtank", "__Host-csrf"):
        cookie = client.cookies[name]
        assert (cookie["secure"], cookie["httponly"], cookie["samesite"], cookie["path"], cookie["domain"]) == (True, True, "Lax", "/", "")


def test_a_login_holds_for_fourteen_days_however_often_one_comes(site):
    from fairtank.web.visitors import LOGIN_KEY

    account("ida")
    client = logged_in("ida")
    session = client.session
    session[LOGIN_KEY] = time.time() - 14 * 86400 + 60
    session.save()
    assert client.get("/account/").status_code == 200
    session[LOGIN_KEY] = time.time() - 14 * 86400 - 60
    session.save()
    assert client.get("/account/").status_code == 302


def test_a_password_is_changed_by_who_knows_it_and_ends_all_other_sessions(site):
    account("ida")
    here, there = logged_in("ida"), logged_in("ida")
    new = "eleven shy otocinclus"
    for sent, said in (({"password": "x", "new": new, "again": new}, "not your present password"),
                       ({"password": PASSWORD, "new": new, "again": new + "x"}, "same way twice"),
                       ({"password": PASSWORD, "new": "short", "again": "short"}, "too easy to guess"),
                       ({"password": PASSWORD, "new": "qwerty123456", "again": "qwerty123456"}, "too common"),
                       ({"password": PASSWORD, "new": "x" * 257, "again": "x" * 257}, "257 characters long")):
        answer = here.post("/account/password/", sent)
        assert answer.status_code == 422
        assert said in answer.content.decode(), said
    assert here.post("/account/password/", {"password": PASSWORD, "new": new, "again": new}).status_code == 303
    assert here.get("/account/").status_code == 200
    assert there.get("/account/").status_code == 302
    assert visitor_of_site().post("/login/", {"name": "ida", "password": new}).status_code == 303


@pytest.mark.parametrize("password", ["x" * 64 + "yz", "пароль из слов здесь", "   two wide words   ", "日本語の水草水槽の合言葉",
                                      "~!@#$%^&*()_+{}|"])  # fmt: skip
def test_a_password_may_be_made_of_anything_and_is_taken_as_it_was_typed(site, password):
    from fairtank.records.services.accounts import account_add
    from fairtank.records.services.trail import KEEPER

    account_add(name="ida", password=password, by=KEEPER)
    assert visitor_of_site().post("/login/", {"name": "ida", "password": password}).status_code == 303
    assert visitor_of_site().post("/login/", {"name": "ida", "password": password.strip() + "!"}).status_code == 422


@pytest.mark.parametrize("name", ["ida", "IDA", "ＩＤＡ", "", "two words", "a/b", "x" * 151, "<b>"])
def test_a_name_is_one_that_is_not_taken_and_can_be_typed(site, name):
    from fairtank.errors import InputError
    from fairtank.records.services.accounts import account_add
    from fairtank.records.services.trail import KEEPER

    account("ida")
    with pytest.raises(InputError, match="The name is"):
        account_add(name=name, password=PASSWORD, by=KEEPER)


def test_passwords_are_kept_by_argon2_alone_and_there_is_no_account_before_one_is_made(site):
    from django.contrib.auth import get_user_model

    import fairtank.settings

    assert fairtank.settings.PASSWORD_HASHERS == ["django.contrib.auth.hashers.Argon2PasswordHasher"]
    assert not get_user_model().objects.exists()
    assert account("ida").password.startswith("argon2$argon2id$")


def test_a_closed_account_is_out_at_its_next_step_and_the_last_keeper_cannot_be_closed(site):
    root = account("root", is_keeper=True)
    ida = account("ida")
    boss, client = logged_in("root"), logged_in("ida")
    assert boss.post(f"/accounts/{ida.pk}/close/").status_code == 303
    assert client.get("/account/").status_code == 302
    assert visitor_of_site().post("/login/", {"name": "ida", "password": PASSWORD}).status_code == 422
    assert "is let in again" in boss.post(f"/accounts/{ida.pk}/close/", follow=True, secure=True).content.decode()
    refused = boss.post(f"/accounts/{root.pk}/close/")
    assert refused.status_code == 422
    assert "not the last to look after the installation" in refused.content.decode()
    assert logged_in("ida").get("/accounts/").status_code == 403


def test_an_invitation_makes_an_account_that_sees_one_trial_and_holds_once(trial):
    from fairtank.records.models import Member

    owner = logged_in("ida")
    secret = invitation_of(owner, trial)
    guest = visitor_of_site()
    wrong = guest.post("/invited/", {"secret": secret, "name": "tom", "password": PASSWORD, "again": "other"})
    assert "not the same both times" in wrong.content.decode()
    answer = guest.post("/invited/", {"secret": secret, "name": "tom", "password": PASSWORD, "again": PASSWORD})
    assert answer.status_code == 303
    assert "You joined “Ida’s trial”" in guest.get("/account/").content.decode()
    assert Member.objects.get().role == "helper"
    assert guest.get(f"/trials/{trial.slug}/").status_code == 200
    assert guest.post("/trials/new/", {"title": "mine"}).status_code == 403
    late = visitor_of_site().post("/invited/", {"secret": secret, "name": "eve", "password": PASSWORD, "again": PASSWORD})
    assert late.status_code == 422
    assert "not one that can be used" in late.content.decode()
    assert "tom joined as a helper." in owner.get(f"/trials/{trial.slug}/trail/").content.decode()


def test_who_has_an_account_joins_with_it_and_a_role_that_reaches_further_stays(trial):
    from fairtank.records.models import Member

    account("tom")
    owner, tom = logged_in("ida"), logged_in("tom")
    for role, then in (("reader", "reader"), ("helper", "helper"), ("reader", "helper")):
        assert tom.post("/invited/", {"secret": invitation_of(owner, trial, role)}).status_code == 303
        assert Member.objects.get().role == then


def test_an_invitation_that_was_withdrawn_or_is_a_week_old_lets_nobody_in(trial):
    from django.utils import timezone

    from fairtank.errors import InputError
    from fairtank.records.models import Invitation
    from fairtank.records.services.members import invitation_open

    owner = logged_in("ida")
    secret = invitation_of(owner, trial)
    assert invitation_open(secret).role == "helper"
    with pytest.raises(InputError, match="not one that can be used"):
        invitation_open(secret, timezone.now() + timedelta(days=7, seconds=1))
    assert owner.post(f"/trials/{trial.slug}/members/invitations/{Invitation.objects.get().pk}/withdraw/").status_code == 303
    with pytest.raises(InputError, match="not one that can be used"):
        invitation_open(secret)
    assert secret not in json.dumps(list(Invitation.objects.values()), default=str)


def test_guessing_invitations_is_told_to_wait(site):
    guest = visitor_of_site()
    for _ in range(10):
        assert guest.post("/invited/", {"secret": "x"}).status_code == 422
    assert guest.post("/invited/", {"secret": "x"}).status_code == 429


def test_a_member_gets_another_role_and_is_let_in_no_more_at_once(trial):
    from fairtank.records.models import Member

    account("tom")
    owner, tom = logged_in("ida"), logged_in("tom")
    tom.post("/invited/", {"secret": invitation_of(owner, trial)})
    number = Member.objects.get().pk
    there, round_there = f"/trials/{trial.slug}/", f"/trials/{trial.slug}/round/"
    assert tom.get(round_there).status_code != 403
    assert owner.post(f"{there}members/{number}/role/", {"role": "reader"}).status_code == 303
    assert (tom.get(there).status_code, tom.get(round_there).status_code) == (200, 403)
    assert owner.post(f"{there}members/{number}/role/", {"role": "king"}).status_code == 422
    assert tom.post(f"{there}members/{number}/role/", {"role": "owner"}).status_code == 403
    assert owner.post(f"{there}members/{number}/remove/").status_code == 303
    assert tom.get(there).status_code == 404


def test_on_a_keepers_own_computer_there_are_no_accounts(shelf):
    for address in ("/login/", "/account/", "/accounts/", "/invited/"):
        assert keeper().get(address).status_code == 404, address
    assert keeper().post("/logout/").status_code == 404


def test_the_command_makes_the_first_account_which_looks_after_the_installation(shelf, monkeypatch):
    from click.testing import CliRunner
    from django.contrib.auth import get_user_model

    from fairtank.cli.commands import account as file

    monkeypatch.setattr(file, "tables_ready", lambda: None)
    run, words = CliRunner().invoke, ["--password-from", "-"]
    first = run(file.command, ["add", "ida", *words], input=PASSWORD + "\n")
    assert first.output == "ida can log in now and looks after the installation.\n"
    assert run(file.command, ["add", "tom"], input=f"{PASSWORD}\n{PASSWORD}\n").output.endswith("tom can log in now.\n")
    assert run(file.command, ["close", "tom"]).output == "tom is let in no more.\n"
    assert run(file.command, ["list"]).output == "ida: looks after the installation\ntom: begins trials, closed\n"
    assert run(file.command, ["password", "ida", *words], input="eleven shy otocinclus\n").exit_code == 0
    assert get_user_model().objects.get(username="ida").check_password("eleven shy otocinclus")
    assert "too easy to guess" in str(run(file.command, ["add", "eve", *words], input="short\n").exception)
    assert "The account is eve; accepted: one that there is" in str(run(file.command, ["close", "eve"]).exception)


def test_what_django_checks_before_a_site_goes_online_is_clean():
    from django.core.checks import run_checks
    from django.test import override_settings

    with override_settings(**settings_of(FAIRTANK_HOSTED="1", FAIRTANK_HOSTS=HOST)):
        assert run_checks(include_deployment_checks=True) == []
