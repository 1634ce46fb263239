"""Accounts of a hosted installation: made, given another password, closed and opened again."""

from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from fairtank.errors import InputError
from fairtank.records.services.trail import By, noted

# Longer ones are refused before they are hashed: a hash takes its time on purpose.
LONGEST_PASSWORD = 256


def name_plain(name: str) -> str:
    """The name of an account as it is stored: letters of the same look written the same way."""
    return str(get_user_model().normalize_username(name.strip()))


def account_add(*, name: str, password: str, by: By, begins_trials: bool = True, is_keeper: bool = False) -> Any:
    """Make an account.

    Parameters
    ----------
    name : str
        Letters, digits and @ . + - _ ; capitals do not make another name.
    password : str
        12 characters or more, not a common one, not like the name.
    by : By
    begins_trials : bool
        Whether the account may put trials of its own on the shelf; who is invited into one trial may not.
    is_keeper : bool
        Whether it looks after the installation: settings, backup, accounts.

    Returns
    -------
    account

    Raises
    ------
    InputError
        If the name is taken or cannot be one, or the password is too weak.

    References
    ----------
    common_practice (keys from sources.py).
    """
    kind, plain = get_user_model(), name_plain(name)
    if kind.objects.filter(username__iexact=plain).exists():
        raise InputError("The name", plain, "one that is not taken")
    user = kind(username=plain, is_staff=begins_trials or is_keeper, is_superuser=is_keeper)
    password_checked(password, user)
    user.set_password(password)
    try:
        user.full_clean(exclude=["password", "email", "first_name", "last_name"])
    except ValidationError as error:
        raise InputError("The name", plain or "empty", "up to 150 letters, digits and @ . + - _", " ".join(error.messages)) from error
    with transaction.atomic():
        user.save()
        noted(by=by, verb="add", said=f"Made the account {plain}.", row=user)
    return user


def password_checked(password: str, user: Any) -> None:
    """Nothing where the password will do.

    Raises
    ------
    InputError
        With every reason why it will not.
    """
    if len(password) > LONGEST_PASSWORD:
        raise InputError("The password", f"{len(password)} characters long", f"12 to {LONGEST_PASSWORD} characters")
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise InputError("The password", "too easy to guess", "12 characters or more, any of them", " ".join(error.messages)) from error


def password_change(*, user: Any, password: str, by: By) -> None:
    """Give an account another password; whoever is logged in with the old one is logged out, everywhere.

    Raises
    ------
    InputError
        If the password is too weak.
    """
    password_checked(password, user)
    with transaction.atomic():
        user.set_password(password)
        user.save(update_fields=["password"])
        noted(by=by, verb="change", said=f"The password of {user.get_username()} was changed.", row=user)


def account_close(*, user: Any, by: By, is_closed: bool = True) -> None:
    """Let an account in no more, from its next request on; or let it in again.

    Raises
    ------
    InputError
        If it is the last that looks after the installation.
    """
    if user.is_active is not is_closed:
        return
    others = get_user_model().objects.filter(is_superuser=True, is_active=True).exclude(pk=user.pk)
    if is_closed and user.is_superuser and not others.exists():
        raise InputError("The account", user.get_username(), "one that is not the last to look after the installation")
    with transaction.atomic():
        user.is_active = not is_closed
        user.save(update_fields=["is_active"])
        said = f"Closed the account {user.get_username()}." if is_closed else f"Opened the account {user.get_username()} again."
        noted(by=by, verb="close" if is_closed else "open", said=said, row=user)


def account_named(name: str) -> Any:
    """The account of that name.

    Raises
    ------
    InputError
        If there is none.
    """
    found = get_user_model().objects.filter(username__iexact=name_plain(name)).first()
    if found is None:
        raise InputError("The account", name, "one that there is", "`fairtank account list` shows them.")
    return found
