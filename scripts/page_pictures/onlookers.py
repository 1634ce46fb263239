"""How the pages run and who looks at them: at home, from a phone, from afar, in the middle of work."""

import contextlib
import json
import os
import runpy
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from unittest import mock

from page_pictures import further
from page_pictures.camera import Camera

HOME, SITE, PHONE = "192.168.1.20", "tanks.example.org", "192.168.1.77"
_FOLLOWS = ("HOSTED", "LAN", "TLS", "ADDRESS", "ALLOWED_HOSTS", "CSRF_TRUSTED_ORIGINS", "FAIRTANK_FOLDER", "FAIRTANK_OUT")


@contextlib.contextmanager
def _as_kept(camera: Camera, work: Path, variables: dict[str, str], environ: dict[str, str]) -> Iterator[None]:
    """The pages with other settings, asked from elsewhere."""
    from django.test import override_settings

    import fairtank.settings

    with mock.patch.dict(os.environ, variables):
        made = runpy.run_path(fairtank.settings.__file__)
    follows = {name: made[name] for name in _FOLLOWS if name in made}
    try:
        with override_settings(**follows):
            camera.site.renewed()
            camera.site.environ = environ
            yield
    finally:
        camera.site.environ, camera.cookies = {}, []
        camera.site.renewed()


@contextlib.contextmanager
def _link(camera: Camera, work: Path) -> Iterator[None]:
    yield


@contextlib.contextmanager
def _working(camera: Camera, work: Path) -> Iterator[None]:
    further.work_begun(camera.found)
    yield
    further.work_ended(camera.found)


@contextlib.contextmanager
def _pool(camera: Camera, work: Path) -> Iterator[None]:
    if "pooled" not in camera.found:
        further.trials_pooled(camera.found)
        _found_keep(camera)
    yield


@contextlib.contextmanager
def _folder(camera: Camera, work: Path) -> Iterator[None]:
    root = further.folder_copied(work / "demo", work)
    with _as_kept(camera, work, {"FAIRTANK_FOLDER": str(root), "FAIRTANK_OUT": str(root / "out")}, {}):
        yield


_HOME = {"FAIRTANK_LAN": "1", "FAIRTANK_HOSTS": HOME, "FAIRTANK_ADDRESS": f"http://{HOME}:8321/"}
_FROM_PHONE = {"REMOTE_ADDR": PHONE, "HTTP_HOST": f"{HOME}:8321"}
_FROM_AFAR = {"HTTP_X_FORWARDED_PROTO": "https", "HTTP_X_FORWARDED_FOR": "198.51.100.7", "HTTP_HOST": SITE,
              "HTTP_ORIGIN": f"https://{SITE}", "HTTP_REFERER": f"https://{SITE}/"}


@contextlib.contextmanager
def _lan(camera: Camera, work: Path) -> Iterator[None]:
    _people(camera)
    with _as_kept(camera, work, _HOME, {}):
        yield


@contextlib.contextmanager
def _stranger(camera: Camera, work: Path) -> Iterator[None]:
    _people(camera)
    with _as_kept(camera, work, _HOME, _FROM_PHONE):
        yield


@contextlib.contextmanager
def _phone(camera: Camera, work: Path) -> Iterator[None]:
    _people(camera)
    with _as_kept(camera, work, _HOME, _FROM_PHONE):
        from fairtank.web.visitors import PHONE_KEY

        camera.cookies = [_session({PHONE_KEY: camera.found["phone_secret"]})]
        yield


@contextlib.contextmanager
def _closed(camera: Camera, work: Path) -> Iterator[None]:
    _people(camera)
    with _as_kept(camera, work, {"FAIRTANK_HOSTED": "1", "FAIRTANK_HOSTS": SITE}, _FROM_AFAR):
        yield


@contextlib.contextmanager
def _owner(camera: Camera, work: Path) -> Iterator[None]:
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY, get_user_model
    from django.utils import timezone

    _people(camera)
    with _as_kept(camera, work, {"FAIRTANK_HOSTED": "1", "FAIRTANK_HOSTS": SITE}, _FROM_AFAR):
        from fairtank.web.visitors import LOGIN_KEY

        user = get_user_model().objects.get(username="quorim")
        camera.cookies = [_session({SESSION_KEY: str(user.pk), BACKEND_SESSION_KEY: "django.contrib.auth.backends.ModelBackend",
                                    HASH_SESSION_KEY: user.get_session_auth_hash(), LOGIN_KEY: timezone.now().timestamp()})]
        yield


def _people(camera: Camera) -> None:
    if "phone_secret" not in camera.found:
        further.people_made(camera.found)
        _found_keep(camera)


def _found_keep(camera: Camera) -> None:
    (camera.work / "found.json").write_text(json.dumps(camera.found), encoding="utf-8")


def _session(values: dict[str, Any]) -> dict[str, str]:
    from django.conf import settings
    from django.contrib.sessions.backends.db import SessionStore

    session = SessionStore()
    for key, value in values.items():
        session[key] = value
    session.create()
    return {"name": settings.SESSION_COOKIE_NAME, "value": str(session.session_key)}


# How the pages run and who looks, by the words of the list; in this order, since accounts take the trials over at last.
SCENES: dict[str, Callable[[Camera, Path], Any]] = {
    "link": _link, "working": _working, "pool": _pool, "folder": _folder,
    "lan": _lan, "stranger": _stranger, "phone": _phone, "closed": _closed, "owner": _owner,
}
