"""Pages for phones of the home network: their address and their certificate, and what the processes of the pages are told of both."""

import contextlib
import os
import socket
from ipaddress import IPv4Address
from typing import NamedTuple

from fairtank.cli.pages import Certificate, free_port
from fairtank.errors import InputError
from fairtank.places import data_folder
from fairtank.records.certificates import certificate_for

EVERYWHERE = "0.0.0.0"
# An address for documentation (RFC 5737), to which nothing is sent: the system only tells from where it would send.
_OUTSIDE = ("192.0.2.1", 9)


class OnLan(NamedTuple):
    """How the pages listen, and what is told about it."""

    port: int
    certificate: Certificate | None
    address: str
    fingerprint: str


def lan_address(wished: str = "") -> str:
    """The address of this computer in its network: the wished one, else the one from which it reaches others."""
    text = wished or _own()
    try:
        found = IPv4Address(text)
    except ValueError as error:
        what = wished or "not to be found: this computer seems to be in no network"
        accepted = "an address of this computer such as 192.168.1.20"
        raise InputError("--address", what, accepted, "The settings of the Wi-Fi show it.") from error
    if found.is_loopback or found.is_global or found.is_unspecified or found.is_multicast:
        raise InputError("--address", text, "an address in a home network, such as 192.168.1.20",
                         "For the internet, run fairtank behind a proxy with accounts.")
    return str(found)


def _own() -> str:
    with contextlib.suppress(OSError), socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as line:
        line.connect(_OUTSIDE)
        return str(line.getsockname()[0])
    return ""


def lan_prepared(*, address: str, port: int, is_tls: bool) -> OnLan:
    """Tell the processes of the pages, by their environment, that phones may come, and at which address."""
    found, own = lan_address(address), socket.gethostname().lower()
    kept = certificate_for(data_folder(), found) if is_tls else None
    at = free_port(port, EVERYWHERE)
    told = f"{'https' if is_tls else 'http'}://{found}:{at}/"
    hosts = [found, *([own] if own and own != "localhost" else [])]
    os.environ.update(FAIRTANK_LAN="1", FAIRTANK_TLS="1" if is_tls else "", FAIRTANK_HOSTS=",".join(hosts), FAIRTANK_ADDRESS=told)
    return OnLan(at, None if kept is None else Certificate(kept.certificate, kept.key), told, "" if kept is None else kept.fingerprint)
