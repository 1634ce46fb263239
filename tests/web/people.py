"""Visitors of every kind, for the tests of who may do what, with the settings of a home network and of a hosted installation."""

import os
import runpy
from contextlib import contextmanager
from pathlib import Path
from unittest import mock

LAN_ADDRESS, PHONE_ADDRESS, HOST = "192.168.1.20", "192.168.1.77", "tanks.example.org"
PASSWORD = "seven quiet pearl danios"
# Settings that follow from where the pages run; all others are those of the tests.
_FOLLOWS = ("HOSTED", "LAN", "TLS", "ADDRESS", "ALLOWED_HOSTS", "CSRF_TRUSTED_ORIGINS", "SESSION_COOKIE_NAME", "CSRF_COOKIE_NAME",
            "MIDDLEWARE")


def settings_of(**variables):
    """The settings as they come out with these variables of the environment."""
    import fairtank.settings

    with mock.patch.dict(os.environ, variables):
        made = runpy.run_path(str(Path(fairtank.settings.__file__)))
    return {name: value for name, value in made.items()
            if name in _FOLLOWS or name.startswith(("SECURE_", "SESSION_COOKIE_", "CSRF_COOKIE_"))}


@contextmanager
def installed(**variables):
    """Inside, the pages run as these variables say; passwords are hashed by the same function with less work, for there are many."""
    from django.contrib.auth.hashers import Argon2PasswordHasher
    from django.test import override_settings

    class Quick(Argon2PasswordHasher):
        time_cost, memory_cost, parallelism = 1, 16, 1

    globals()["Quick"] = Quick
    with override_settings(**settings_of(**variables), PASSWORD_HASHERS=[f"{__name__}.Quick"]):
        yield


def in_home_network(**more):
    return installed(FAIRTANK_LAN="1", FAIRTANK_HOSTS=LAN_ADDRESS, FAIRTANK_ADDRESS=f"http://{LAN_ADDRESS}:8321/", **more)


def hosted(**more):
    return installed(FAIRTANK_HOSTED="1", FAIRTANK_HOSTS=HOST, **more)


def keeper(**more):
    from django.test import Client

    return Client(headers={"host": "127.0.0.1"}, **more)


def stranger(**more):
    """A device of the home network that was not paired."""
    from django.test import Client

    return Client(headers={"host": f"{LAN_ADDRESS}:8321"}, REMOTE_ADDR=PHONE_ADDRESS, **more)


def phone(name="Kitchen phone", **more):
    """A phone that was paired in the usual way."""
    from fairtank.records.services.pairing import code_make
    from fairtank.records.services.trail import KEEPER

    client = stranger(**more)
    answer = client.post("/pair", {"code": code_make(by=KEEPER), "name": name})
    assert answer.status_code == 303, answer.content.decode()
    return client


def visitor_of_site(**more):
    """Somebody who opens a hosted installation, through the proxy before it."""
    from django.test import Client

    return Client(headers={"host": HOST, "x-forwarded-proto": "https", "x-forwarded-for": "198.51.100.7"}, REMOTE_ADDR="127.0.0.1", **more)


def account(name, **more):
    from fairtank.records.services.accounts import account_add
    from fairtank.records.services.trail import KEEPER

    return account_add(name=name, password=PASSWORD, by=KEEPER, **more)


def logged_in(name, **more):
    client = visitor_of_site(**more)
    answer = client.post("/login/", {"name": name, "password": PASSWORD})
    assert answer.status_code == 303, answer.content.decode()
    return client
