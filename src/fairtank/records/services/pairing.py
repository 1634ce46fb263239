"""Pairing a phone: a one-time code that is shown on the computer and typed on the phone, and the phones that were paired with one."""

import hmac
import secrets
from datetime import datetime, timedelta

from django.db import transaction
from django.utils import timezone
from django.utils.translation import ngettext

from fairtank.errors import InputError
from fairtank.records.models import Device, PairingCode
from fairtank.records.services.attempts import digest_of
from fairtank.records.services.trail import By, noted

# Digits and capitals without 0, 1, I, L, O and U, which are taken for one another.
ALPHABET = "23456789ABCDEFGHJKMNPQRSTVWXYZ"
CODE_SIGNS, CODE_TRIES = 8, 5
CODE_LASTS, PHONE_LASTS = timedelta(minutes=5), timedelta(days=30)
_SEEN_EVERY = timedelta(minutes=5)
LONGEST_NAME = 60
_NEW_CODE = "Make a new one on the computer: Settings, Phones."


class CodeRefused(InputError):
    """A code that does not pair: a wrong one, one that is over, or none was made."""

    def __init__(self, said: str) -> None:
        super().__init__("The code", "not accepted", "the one that the computer shows")
        self.said = said

    def __str__(self) -> str:
        return self.said


def code_make(*, by: By, now: datetime | None = None) -> str:
    """Make a one-time code; codes that were made before hold no more.

    Parameters
    ----------
    by : By
        Who shows it on the computer.
    now : datetime, optional

    Returns
    -------
    str
        8 characters out of 30, so one of 6.6e11; it is kept as its SHA-256 only.

    References
    ----------
    common_practice (keys from sources.py).
    """
    now, code = now or timezone.now(), "".join(secrets.choice(ALPHABET) for _ in range(CODE_SIGNS))
    with transaction.atomic():
        PairingCode.objects.filter(made_at__lt=now - timedelta(days=1)).delete()
        PairingCode.objects.filter(used_at=None, expires_at__gt=now).update(expires_at=now)
        row = PairingCode.objects.create(code_digest=digest_of(code), owner=by.user, expires_at=now + CODE_LASTS)
        noted(by=by, verb="add", said="Made a code that pairs a phone.", row=row)
    return code


def code_plain(typed: str) -> str:
    """A code as it was made, however it was typed.

    >>> code_plain(" abcd-2345 ")
    'ABCD2345'
    """
    return "".join(sign for sign in typed.upper() if sign.isalnum())


def phone_pair(*, code: str, name: str, now: datetime | None = None) -> tuple[Device, str]:
    """Pair a phone with a code, which holds no more afterwards.

    Parameters
    ----------
    code : str
        As it was typed.
    name : str
        Of the phone, for the list of phones.
    now : datetime, optional

    Returns
    -------
    tuple of Device and str
        The phone, and the secret that its session keeps; the row has only the digest of it.

    Raises
    ------
    CodeRefused
        If the code is wrong, older than 5 minutes, used, or was tried 5 times.
    InputError
        If the name is empty or too long.

    References
    ----------
    common_practice (keys from sources.py).
    """
    now, plain = now or timezone.now(), name_checked(name)
    refusal = _code_used(code_plain(code), now)
    if refusal:
        raise CodeRefused(refusal)
    secret = secrets.token_urlsafe(32)
    with transaction.atomic():
        device = Device.objects.create(name=plain, key_digest=digest_of(secret), expires_at=now + PHONE_LASTS, seen_at=now)
        noted(by=by_of(device), verb="add", said=f"Paired the phone “{plain}”.", row=device)
    return device, secret


def _code_used(plain: str, now: datetime) -> str:
    """Use the open code up if that is it; else why not. The try is counted even if it is refused."""
    with transaction.atomic():
        row = PairingCode.objects.select_for_update().filter(used_at=None, expires_at__gt=now).first()
        if row is None:
            return f"No code is waiting: a code holds for {CODE_LASTS.seconds // 60} minutes and for one phone. {_NEW_CODE}"
        if row.tries >= CODE_TRIES:
            return f"This code was tried {CODE_TRIES} times and holds no more. {_NEW_CODE}"
        row.tries += 1
        if hmac.compare_digest(digest_of(plain), row.code_digest):
            row.used_at = now
        row.save(update_fields=["tries", "used_at"])
        left = CODE_TRIES - row.tries
    if row.used_at is not None:
        return ""
    if not left:
        return f"That is not the code, and it was tried {CODE_TRIES} times; it holds no more. {_NEW_CODE}"
    return ngettext("That is not the code that the computer shows. %(left)d try left.",
                    "That is not the code that the computer shows. %(left)d tries left.", left) % {"left": left}


def name_checked(name: str) -> str:
    """The name of a phone on one line."""
    plain = " ".join(name.split())
    if not plain or len(plain) > LONGEST_NAME or not plain.isprintable():
        raise InputError("The name of the phone", "empty" if not plain else "too long, or not to be shown",
                         f"one to {LONGEST_NAME} characters", "Name it as you will know it in the list.")
    return plain


def by_of(device: Device) -> By:
    """A phone as the trail names it."""
    return By(f"phone {device.name}", device.owner)


def phone_found(secret: str, now: datetime | None = None) -> Device | None:
    """The phone whose session keeps that secret, whether or not it is still paired; that it was here is written down now and then."""
    now = now or timezone.now()
    device: Device | None = Device.objects.filter(key_digest=digest_of(secret)).first()
    if device is not None and is_paired(device, now) and (device.seen_at is None or now - device.seen_at > _SEEN_EVERY):
        Device.objects.filter(pk=device.pk).update(seen_at=now)
    return device


def is_paired(device: Device, now: datetime | None = None) -> bool:
    """Whether it is neither revoked nor over."""
    return device.revoked_at is None and device.expires_at > (now or timezone.now())


def phone_rename(*, device: Device, name: str, by: By) -> None:
    """Give a phone another name.

    Raises
    ------
    InputError
        If the name is empty or too long.
    """
    plain, before = name_checked(name), device.name
    with transaction.atomic():
        device.name = plain
        device.save(update_fields=["name"])
        noted(by=by, verb="change", said=f"Renamed the phone “{before}” to “{plain}”.", row=device, before={"name": before})


def phone_revoke(*, device: Device, by: By, now: datetime | None = None) -> None:
    """Let a phone in no more, from its next request on; one that was let out before stays so."""
    if device.revoked_at is not None:
        return
    with transaction.atomic():
        device.revoked_at = now or timezone.now()
        device.save(update_fields=["revoked_at"])
        noted(by=by, verb="remove", said=f"Revoked the phone “{device.name}”.", row=device)
