"""The signature of a seal: an Ed25519 key of the keeper's own, made, read, used and checked."""

import base64
import hashlib
import os
import stat
from pathlib import Path
from typing import Any

from fairtank.errors import InputError, JobError, plain_reason
from fairtank.records.folder.seal_canonical import code_of
from fairtank.records.folder.toml_section import FILE as PLAN_FILE

ARGUMENT = "the key file"
_ACCEPTED = "a key file as `fairtank seal --make-key` writes it (an Ed25519 key in PEM)"
LARGEST_KEY_BYTES = 10_000


def key_make(path: Path) -> str:
    """Write a new private key that only its owner may read, and give the code of its public key.

    Parameters
    ----------
    path : Path
        A new file, in no trial folder.

    Returns
    -------
    str
        The code by which others know the key.

    Raises
    ------
    InputError
        If something lies at that place, or it lies in a trial folder.
    JobError
        If it cannot be written.

    References
    ----------
    rfc8032 (keys from sources.py).
    """
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import Encoding, NoEncryption, PrivateFormat

    place_check(path)
    key = Ed25519PrivateKey.generate()
    content = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
    except FileExistsError:
        raise InputError(ARGUMENT, path, "a new file", "Something lies there already; nothing was written.") from None
    except OSError as error:
        raise JobError(f"{path} cannot be written: {plain_reason(error)}. No key was made.") from error
    return code_of_key(public_text(key))


def key_read(path: Path, folder: Path | None = None) -> Any:
    """The private key of a file; refused where it lies in a trial folder, would be passed on with it, or is no such key.

    Parameters
    ----------
    path : Path
        The key file.
    folder : Path or None
        The trial folder that is to be sealed.

    Returns
    -------
    Ed25519PrivateKey

    Raises
    ------
    InputError
        If it is no Ed25519 key in PEM without a password, or lies in a trial folder.
    JobError
        If it cannot be opened.

    References
    ----------
    rfc8032 (keys from sources.py).
    """
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    place_check(path, folder)
    try:
        if path.stat().st_size > LARGEST_KEY_BYTES:
            raise InputError(ARGUMENT, path, _ACCEPTED, "This file is too long for a key.")
        content = path.read_bytes()
    except OSError as error:
        raise JobError(f"{path} cannot be opened: {plain_reason(error)}. Nothing was sealed.") from error
    try:
        key = load_pem_private_key(content, None)
    except TypeError:
        raise InputError(ARGUMENT, path, _ACCEPTED, "This one asks for a password, which is not supported.") from None
    except (ValueError, UnsupportedAlgorithm):
        raise InputError(ARGUMENT, path, _ACCEPTED) from None
    if not isinstance(key, Ed25519PrivateKey):
        raise InputError(ARGUMENT, path, _ACCEPTED, "It holds a key of another kind.")
    return key


def place_check(path: Path, folder: Path | None = None) -> None:
    """Refuse a key that lies in a trial folder: whoever receives the folder could sign in the keeper's name."""
    place = path.absolute().resolve()
    inside = folder is not None and place.is_relative_to(folder.absolute().resolve())
    if inside or any((parent / PLAN_FILE).exists() for parent in place.parents):
        raise InputError(ARGUMENT, path, "a file outside every trial folder",
                         "A folder is passed on, and whoever has the key can sign in your name.")


def is_open_to_others(path: Path) -> bool:
    """Whether other people of this computer may read or write the key file; false where the system does not say."""
    return os.name == "posix" and bool(path.stat().st_mode & (stat.S_IRWXG | stat.S_IRWXO))


def public_text(key: Any) -> str:
    """The public key of a private one, 32 bytes in base64."""
    return base64.b64encode(key.public_key().public_bytes_raw()).decode()


def code_of_key(public: str) -> str:
    """The code by which people know a public key: as that of a seal, over the key's bytes."""
    return code_of(hashlib.sha256(base64.b64decode(public)).hexdigest())


def signature_text(key: Any, content: bytes) -> str:
    """The signature over a content, 64 bytes in base64."""
    return base64.b64encode(key.sign(content)).decode()


def is_signed_by(public: object, signature: object, content: bytes) -> bool:
    """Whether a signature over a content is that of a public key, both in base64; whatever is no key or no signature is not."""
    from cryptography.exceptions import InvalidSignature
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    if not isinstance(public, str) or not isinstance(signature, str):
        return False
    try:
        key = Ed25519PublicKey.from_public_bytes(base64.b64decode(public, validate=True))
        key.verify(base64.b64decode(signature, validate=True), content)
    except (ValueError, InvalidSignature):
        return False
    return True
