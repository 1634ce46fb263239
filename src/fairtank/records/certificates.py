"""The certificate with which the pages speak TLS in the home network: made by fairtank itself, and known by its fingerprint alone."""

import contextlib
import os
import re
import secrets
import socket
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from fairtank.errors import JobError, plain_reason

if TYPE_CHECKING:
    from cryptography import x509
    from cryptography.hazmat.primitives.asymmetric.ec import EllipticCurvePrivateKey

FOLDER, CERTIFICATE, KEY = "tls", "certificate.pem", "key.pem"
# Browsers take no certificate that holds much longer than a year.
_LASTS, _RENEWED = timedelta(days=390), timedelta(days=30)


class Kept(NamedTuple):
    """A certificate on disk: its file, that of its key, and its fingerprint as browsers show it."""

    certificate: Path
    key: Path
    fingerprint: str


def certificate_for(data: Path, address: str, now: datetime | None = None) -> Kept:
    """The certificate for an address; a new one is made where there is none, it names another address, or it is nearly over.

    Parameters
    ----------
    data : Path
        The data folder. The key lies there so that only its owner can read it.
    address : str
        Of this machine in the network.
    now : datetime, optional

    Returns
    -------
    Kept

    Raises
    ------
    JobError
        If the files cannot be written.

    References
    ----------
    common_practice (keys from sources.py).
    """
    now, place = now or datetime.now(UTC), data / FOLDER
    kept = certificate_in(data)
    if kept is None or not _holds(kept, address, now):
        from cryptography.hazmat.primitives.asymmetric import ec

        key = ec.generate_private_key(ec.SECP256R1())
        try:
            _written(place, key, _made(key, address, now))
        except OSError as error:
            raise JobError(f"The certificate could not be written to {place}: {plain_reason(error)}.") from error
        kept = certificate_in(data)
        assert kept is not None
    return kept


def certificate_in(data: Path) -> Kept | None:
    """The certificate of a data folder; None where there is none that can be read."""
    found = _read(data / FOLDER / CERTIFICATE)
    if found is None or not (data / FOLDER / KEY).is_file():
        return None
    from cryptography.hazmat.primitives import hashes

    digest = found.fingerprint(hashes.SHA256()).hex().upper()
    return Kept(data / FOLDER / CERTIFICATE, data / FOLDER / KEY, ":".join(re.findall("..", digest)))


def names_of(path: Path) -> list[str]:
    """The names and addresses that a certificate stands for."""
    from cryptography import x509

    found = _read(path)
    if found is None:
        return []
    value = found.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    return [*value.get_values_for_type(x509.DNSName), *(str(one) for one in value.get_values_for_type(x509.IPAddress))]


def _read(path: Path) -> "x509.Certificate | None":
    from cryptography import x509

    with contextlib.suppress(OSError, ValueError):
        return x509.load_pem_x509_certificate(path.read_bytes())
    return None


def _holds(kept: Kept, address: str, now: datetime) -> bool:
    found = _read(kept.certificate)
    if found is None or found.not_valid_after_utc - now <= _RENEWED:
        return False
    return address in names_of(kept.certificate)


def _made(key: "EllipticCurvePrivateKey", address: str, now: datetime) -> "x509.Certificate":
    """Signed by its own key; it can vouch for no other certificate."""
    from cryptography import x509
    from cryptography.hazmat.primitives import hashes
    from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "fairtank on this computer")])
    places = [x509.IPAddress(ip_address(one)) for one in dict.fromkeys((address, "127.0.0.1", "::1"))]
    names = [x509.DNSName(one) for one in dict.fromkeys(("localhost", socket.gethostname())) if one.isascii()]
    builder = x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
    builder = builder.serial_number(x509.random_serial_number()).not_valid_before(now - timedelta(days=1)).not_valid_after(now + _LASTS)
    builder = builder.add_extension(x509.SubjectAlternativeName([*names, *places]), critical=False)
    builder = builder.add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
    builder = builder.add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
    return builder.sign(key, hashes.SHA256())


def _written(place: Path, key: "EllipticCurvePrivateKey", certificate: "x509.Certificate") -> None:
    from cryptography.hazmat.primitives import serialization as form

    secret = key.private_bytes(form.Encoding.PEM, form.PrivateFormat.PKCS8, form.NoEncryption())
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    for name, content in ((KEY, secret), (CERTIFICATE, certificate.public_bytes(form.Encoding.PEM))):
        made = place / f"{name}.{secrets.token_hex(8)}"
        with os.fdopen(os.open(made, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
            file.write(content)
        os.replace(made, place / name)
