"""Phones are paired by a one-time code, may look and record, and are let in no more at once."""

import re
from datetime import timedelta

import pytest
from tests.web.people import LAN_ADDRESS, PHONE_ADDRESS, in_home_network, installed, keeper, phone, stranger


@pytest.fixture
def lan(shelf):
    """The pages in a home network."""
    with in_home_network():
        yield


def code_shown():
    page = keeper().post("/phones/code/").content.decode()
    return re.search(r'class="code">(\w{4} \w{4})<', page)[1], page


def test_a_phone_with_the_code_is_let_in_and_one_without_is_told_how(lan):
    other = stranger()
    refused = other.get("/")
    assert refused.status_code == 403
    assert "not paired" in refused.content.decode()
    assert 'href="/pair"' in refused.content.decode()
    code, _page = code_shown()
    answer = other.post("/pair", {"code": code, "name": "  Kitchen   phone "})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/today/")
    assert "paired as “Kitchen phone”, for 30 days" in other.get("/").content.decode()
    assert "Kitchen phone" in keeper().get("/phones/").content.decode()


def test_the_code_is_typed_as_one_likes_and_holds_for_one_phone(lan):
    code, _page = code_shown()
    assert stranger().post("/pair", {"code": code.replace(" ", "-").lower(), "name": "one"}).status_code == 303
    again = stranger().post("/pair", {"code": code, "name": "two"})
    assert again.status_code == 422
    assert "No code is waiting" in again.content.decode()


def test_a_code_has_eight_signs_of_thirty_that_are_not_taken_for_one_another():
    from fairtank.records.services.pairing import ALPHABET, CODE_SIGNS

    assert len(set(ALPHABET)) == len(ALPHABET) == 30
    assert not set(ALPHABET) & set("01ILOUilou")
    assert CODE_SIGNS == 8


def test_neither_the_code_nor_the_secret_of_a_session_stands_in_the_database(lan):
    from fairtank.records.models import Device, PairingCode

    code, _page = code_shown()
    client = stranger()
    client.post("/pair", {"code": code, "name": "one"})
    row, device, plain = PairingCode.objects.get(), Device.objects.get(), code.replace(" ", "")
    assert plain not in str(vars(row))
    assert re.fullmatch(r"[0-9a-f]{64}", row.code_digest)
    assert client.session["phone"] not in str(vars(device))
    assert len(client.session["phone"]) >= 43


def test_the_symbol_leads_to_the_code_behind_the_sign_that_browsers_keep_to_themselves(lan):
    import cv2
    import numpy as np
    import segno

    from fairtank.web.views.phones import symbol_of

    text = f"http://{LAN_ADDRESS}:8321/pair#ABCD2345"
    matrix = np.array([[255 - 255 * bit for bit in row] for row in segno.make(text, error="m", micro=False).matrix], np.uint8)
    picture = np.kron(np.pad(matrix, 4, constant_values=255), np.ones((6, 6), np.uint8))
    assert cv2.QRCodeDetector().detectAndDecode(picture)[0] == text
    code, page = code_shown()
    assert symbol_of(f"http://{LAN_ADDRESS}:8321/pair#{code.replace(' ', '')}") in page
    assert "style=" not in page


def test_after_five_wrong_codes_the_right_one_holds_no_more(lan):
    code, _page = code_shown()
    client = stranger()
    lefts = [client.post("/pair", {"code": "22222222", "name": "x"}).content.decode() for _ in range(5)]
    assert "4 tries left" in lefts[0]
    assert "1 try left" in lefts[3]
    assert "holds no more" in lefts[4]
    assert client.post("/pair", {"code": code, "name": "x"}).status_code == 422


def test_one_address_that_kills_code_after_code_is_told_to_wait(lan):
    client = stranger()
    for _ in range(10):
        assert client.post("/pair", {"code": "22222222", "name": "x"}).status_code == 422
    answer = client.post("/pair", {"code": code_shown()[0], "name": "x"})
    assert answer.status_code == 429
    assert "Wait 15 minutes and try again" in answer.content.decode()
    assert int(answer.headers["Retry-After"]) <= 15 * 60 + 1


def test_a_code_is_over_after_five_minutes_and_when_a_newer_one_is_shown(lan):
    from django.utils import timezone

    from fairtank.records.services.pairing import CodeRefused, code_make, phone_pair
    from fairtank.records.services.trail import KEEPER

    now = timezone.now()
    code = code_make(by=KEEPER, now=now)
    with pytest.raises(CodeRefused, match="No code is waiting"):
        phone_pair(code=code, name="late", now=now + timedelta(minutes=5, seconds=1))
    newer = code_make(by=KEEPER, now=now)
    with pytest.raises(CodeRefused, match="4 tries left"):
        phone_pair(code=code, name="old code", now=now)
    assert phone_pair(code=newer, name="new code", now=now + timedelta(minutes=4))[0].name == "new code"


@pytest.mark.parametrize("name", ["", "   ", "x" * 61, "bell\x07"])
def test_a_phone_needs_a_name_that_can_be_shown_and_the_code_is_not_used_up_without(lan, name):
    code, _page = code_shown()
    answer = stranger().post("/pair", {"code": code, "name": name})
    assert answer.status_code == 422
    assert "The name of the phone is" in answer.content.decode()
    assert stranger().post("/pair", {"code": code, "name": "x"}).status_code == 303


def test_the_session_gets_another_key_when_a_phone_is_paired(lan):
    client = stranger()
    client.get("/pair")
    client.session.save()
    before = client.session.session_key
    client.post("/pair", {"code": code_shown()[0], "name": "x"})
    assert client.session.session_key != before


def test_a_revoked_phone_is_refused_at_once_and_told_what_to_do(lan):
    from fairtank.records.models import Change, Device

    client = phone("Old phone")
    assert client.get("/").status_code == 200
    number = Device.objects.get().pk
    assert keeper().post(f"/phones/{number}/revoke/").status_code == 303
    refused = client.get("/")
    assert refused.status_code == 403
    assert "It was revoked on the computer" in refused.content.decode()
    assert "let in no more" in client.get("/pair").content.decode()
    assert "let in no more" in keeper().get("/phones/").content.decode()
    assert Change.objects.first().said == "Revoked the phone “Old phone”."


def test_a_phone_is_let_in_for_thirty_days(lan):
    from django.utils import timezone

    from fairtank.records.models import Device

    client = phone()
    Device.objects.update(expires_at=timezone.now() + timedelta(minutes=1))
    assert client.get("/").status_code == 200
    Device.objects.update(expires_at=timezone.now() - timedelta(minutes=1))
    assert "30 days, and they are over" in client.get("/").content.decode()
    assert client.get("/").status_code == 403


def test_a_phone_that_is_paired_again_stands_in_the_list_as_one_that_is_let_in(lan):
    from fairtank.records.models import Device

    client = phone("first")
    client.post("/pair", {"code": code_shown()[0], "name": "second"})
    assert [device.name for device in Device.objects.filter(revoked_at=None)] == ["second"]


def test_a_phone_is_renamed_and_a_name_that_will_not_do_is_told_at_its_field(lan):
    from fairtank.records.models import Device

    phone("first")
    number = Device.objects.get().pk
    assert keeper().post(f"/phones/{number}/rename/", {"name": "By the tank"}).status_code == 303
    assert Device.objects.get().name == "By the tank"
    wrong = keeper().post(f"/phones/{number}/rename/", {"name": ""})
    assert wrong.status_code == 422
    assert "The name of the phone is empty" in wrong.content.decode()
    assert Device.objects.get().name == "By the tank"


@pytest.mark.parametrize("more", [{}, {"x-forwarded-for": "127.0.0.1"}, {"forwarded": "for=127.0.0.1"}, {"x-real-ip": "127.0.0.1"}])
def test_codes_are_shown_on_this_machine_alone_whatever_a_request_says_of_itself(lan, more):
    client = phone()
    for address, method in (("/phones/", "get"), ("/phones/code/", "post")):
        assert getattr(client, method)(address, headers=more).status_code == 403
        assert getattr(stranger(), method)(address, headers=more).status_code == 403


def test_a_request_that_was_passed_on_is_not_the_keepers_even_from_this_machine(lan):
    for name in ("x-forwarded-for", "forwarded", "x-real-ip"):
        assert keeper().get("/phones/", headers={name: "203.0.113.9"}).status_code == 403
        assert keeper().get("/", headers={name: "203.0.113.9"}).status_code == 403


@pytest.mark.parametrize("place", ["127.0.0.1", "::1", "::ffff:127.0.0.1", "127.8.8.8"])
def test_this_machine_is_the_keepers(lan, place):
    assert keeper().get("/", REMOTE_ADDR=place).status_code == 200


@pytest.mark.parametrize("place", [LAN_ADDRESS, PHONE_ADDRESS, "8.8.8.8", "::ffff:192.168.1.77", "fe80::1", "", "nonsense"])
def test_no_other_machine_is_the_keepers(lan, place):
    assert keeper().get("/", REMOTE_ADDR=place).status_code == 403


def test_an_address_of_the_internet_is_answered_nothing_in_a_home_network(lan):
    answer = stranger().get("/pair", REMOTE_ADDR="203.0.114.9")
    assert answer.status_code == 403
    assert answer.content == b"These pages are for the home network."


def test_without_lan_no_phone_is_paired_and_the_page_says_how_to_begin(shelf):
    with installed():
        assert stranger().get("/", headers={"host": "127.0.0.1"}).status_code == 403
        assert keeper().get("/pair").status_code == 404
        assert "fairtank serve --lan" in keeper().get("/phones/").content.decode()
        assert keeper().post("/phones/code/").status_code == 303


def test_exactly_the_address_that_was_chosen_is_answered(lan):
    assert stranger().get("/pair").status_code == 200
    for host in ("192.168.1.21", "evil.test", f"{LAN_ADDRESS}.evil.test", f"x.{LAN_ADDRESS}", "tanks.local", "0.0.0.0"):
        assert stranger().get("/pair", headers={"host": host}).status_code == 400, host


def test_a_name_that_stands_for_many_is_not_taken_as_a_host(shelf):
    with installed(FAIRTANK_LAN="1", FAIRTANK_HOSTS="*, .example.org, 192.168.1.*, good.example.org"):
        from django.conf import settings

        assert settings.ALLOWED_HOSTS == ["127.0.0.1", "localhost", "[::1]", "good.example.org"]


def test_the_keeper_who_opens_the_page_for_phones_is_led_to_the_list(lan):
    assert keeper().get("/pair").headers["Location"] == "/phones/"


def test_the_note_about_listening_is_shown_without_tls_and_the_fingerprint_with_it(shelf):
    from django.conf import settings

    from fairtank.records.certificates import certificate_for

    with in_home_network():
        assert "without encryption" in keeper().get("/phones/").content.decode()
        assert "not encrypted" in stranger().get("/pair").content.decode()
    kept = certificate_for(settings.DATA, LAN_ADDRESS)
    with in_home_network(FAIRTANK_TLS="1"):
        page = keeper().post("/phones/code/", secure=True).content.decode()
        assert kept.fingerprint in page
        assert "without encryption" not in page


def test_cookies_of_pages_with_tls_are_sent_over_tls_alone(shelf):
    with in_home_network(FAIRTANK_TLS="1"):
        cookies = stranger().get("/pair", secure=True).cookies
        assert list(cookies) == ["__Host-csrf"]
        assert cookies["__Host-csrf"]["secure"]
        assert cookies["__Host-csrf"]["httponly"]


def test_the_certificate_names_the_address_and_is_made_anew_when_that_changes_or_it_is_nearly_over(tmp_path):
    import stat
    from datetime import UTC, datetime

    from fairtank.records.certificates import certificate_for, certificate_in, names_of

    assert certificate_in(tmp_path) is None
    first = certificate_for(tmp_path, LAN_ADDRESS)
    assert {LAN_ADDRESS, "127.0.0.1", "::1", "localhost"} <= set(names_of(first.certificate))
    assert re.fullmatch(r"(?:[0-9A-F]{2}:){31}[0-9A-F]{2}", first.fingerprint)
    assert certificate_for(tmp_path, LAN_ADDRESS) == first == certificate_in(tmp_path)
    moved = certificate_for(tmp_path, "192.168.1.30")
    assert moved.fingerprint != first.fingerprint
    assert certificate_for(tmp_path, "192.168.1.30", datetime.now(UTC) + timedelta(days=365)).fingerprint != moved.fingerprint
    assert stat.S_IMODE(moved.key.stat().st_mode) & 0o077 == 0
    assert sorted(path.name for path in moved.key.parent.iterdir()) == ["certificate.pem", "key.pem"]


def test_the_certificate_is_one_that_a_tls_client_takes_for_its_address(tmp_path):
    import socket
    import ssl
    import threading

    from fairtank.records.certificates import certificate_for

    kept = certificate_for(tmp_path, "127.0.0.1")
    serving = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    serving.load_cert_chain(kept.certificate, kept.key)
    asking = ssl.create_default_context(cafile=str(kept.certificate))
    with socket.create_server(("127.0.0.1", 0)) as listening:
        def answer():
            with serving.wrap_socket(listening.accept()[0], server_side=True) as line:
                line.sendall(b"ok")

        thread = threading.Thread(target=answer)
        thread.start()
        with socket.create_connection(listening.getsockname()) as plain, asking.wrap_socket(plain, server_hostname="127.0.0.1") as line:
            assert line.recv(2) == b"ok"
            assert line.version() in ("TLSv1.2", "TLSv1.3")
        thread.join()


@pytest.mark.parametrize("address", ["127.0.0.1", "0.0.0.0", "8.8.8.8", "224.0.0.1", "fe80::1", "my-computer", "192.168.1.300"])
def test_the_address_for_phones_is_one_of_a_home_network(address):
    from fairtank.cli.lan import lan_address
    from fairtank.errors import InputError

    with pytest.raises(InputError, match="--address is "):
        lan_address(address)
    assert lan_address(LAN_ADDRESS) == LAN_ADDRESS


def test_a_computer_in_no_network_is_told_so(monkeypatch):
    from fairtank.cli import lan
    from fairtank.errors import InputError

    monkeypatch.setattr(lan, "_own", lambda: "")
    with pytest.raises(InputError, match="this computer seems to be in no network"):
        lan.lan_address()


def test_the_pages_are_told_the_one_address_that_phones_open_and_the_name_of_the_computer(tmp_path, monkeypatch):
    import os
    import socket
    from unittest import mock

    from fairtank.cli.lan import lan_prepared

    monkeypatch.setattr(socket, "gethostname", lambda: "Desk")
    with mock.patch.dict(os.environ, FAIRTANK_DATA=str(tmp_path)):
        plain = lan_prepared(address=LAN_ADDRESS, port=0, is_tls=False)
        assert plain.address == f"http://{LAN_ADDRESS}:{plain.port}/" == os.environ["FAIRTANK_ADDRESS"]
        assert (os.environ["FAIRTANK_LAN"], os.environ["FAIRTANK_TLS"], os.environ["FAIRTANK_HOSTS"]) == ("1", "", f"{LAN_ADDRESS},desk")
        assert plain.certificate is None
        coded = lan_prepared(address=LAN_ADDRESS, port=0, is_tls=True)
        assert coded.address.startswith(f"https://{LAN_ADDRESS}:")
        assert coded.certificate.key.is_file()
        assert len(coded.fingerprint) == 95


@pytest.mark.parametrize(("words", "said"), [(["--tls"], "belong to --lan"), (["--address", LAN_ADDRESS], "belong to --lan"),
                                             (["--lan", "--address", "8.8.8.8"], "an address in a home network")])  # fmt: skip
def test_serve_refuses_what_does_not_go_together_before_anything_starts(words, said):
    from click.testing import CliRunner

    from fairtank.cli.commands.serve import command

    answer = CliRunner().invoke(command, words)
    assert answer.exit_code != 0
    assert said in answer.output + str(answer.exception)


def test_the_command_shows_a_code_that_pairs_and_the_address_to_open(lan, monkeypatch):
    from click.testing import CliRunner

    from fairtank.cli.commands import phone as file

    monkeypatch.setattr(file, "tables_ready", lambda: None)
    told = CliRunner().invoke(file.command, ["--address", f"http://{LAN_ADDRESS}:8321/"]).output
    code = re.search(rf"open http://{LAN_ADDRESS}:8321/pair on it and type (\w{{4}} \w{{4}}) ", told)[1]
    assert stranger().post("/pair", {"code": code, "name": "x"}).status_code == 303
    assert CliRunner().invoke(file.command, ["--address", "ftp://x"]).exit_code == 2
