"""Under which names and addresses this machine is reached on its local network."""

from __future__ import annotations

import ipaddress
import re
import socket
from collections.abc import Iterable
from dataclasses import dataclass

LABEL = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,61}[a-z0-9])?")
# A datagram socket that is connected sends nothing; it tells which address it would send from.
ASKED = ("192.0.2.1", "10.0.0.1", "172.16.0.1", "192.168.0.1", "169.254.0.1")
# RFC 1918, 3927 and 6598: networks that no address of the open internet is in.
LOCAL_NETWORKS = tuple(
    ipaddress.IPv4Network(each)
    for each in (
        "10.0.0.0/8",
        "172.16.0.0/12",
        "192.168.0.0/16",
        "169.254.0.0/16",
        "100.64.0.0/10",
        "127.0.0.0/8",
    )
)


@dataclass(frozen=True, slots=True)
class Reach:
    """Names and IPv4 addresses, the one to be used first."""

    names: tuple[str, ...]
    addresses: tuple[str, ...]

    @property
    def hosts(self) -> tuple[str, ...]:
        """All of them."""
        return (*self.names, *self.addresses)


def reach() -> Reach:
    """Names and addresses of this machine as they are now.

    The name under ``.local`` comes first where the network knows it, else the addresses do.
    """
    label = socket.gethostname().partition(".")[0].lower()
    addresses = _addresses(label)
    if not LABEL.fullmatch(label) or label == "localhost":
        return Reach((), addresses)
    local = f"{label}.local"
    known = not addresses or bool(set(_resolved(local)) & set(addresses))
    return Reach((local, label) if known else (label, local), addresses)


def preferred_host(found: Reach) -> str:
    """What a phone is sent to: a name keeps when addresses change, if the network knows it."""
    first = next(iter(found.names), "")
    return (
        first
        if first.endswith(".local")
        else next(iter((*found.addresses, *found.names)), "localhost")
    )


def is_local(address: str, own: Iterable[str] = ()) -> bool:
    """Whether who asks is on a local network, and not somewhere on the internet."""
    try:
        told = ipaddress.ip_address(address)
    except ValueError:
        return False
    mapped = getattr(told, "ipv4_mapped", None)
    told = told if mapped is None else mapped
    if str(told) in own:
        return True
    if isinstance(told, ipaddress.IPv6Address):
        return told.is_loopback or told.is_link_local
    return any(told in network for network in LOCAL_NETWORKS)


def _addresses(label: str) -> tuple[str, ...]:
    found: list[str] = []
    for each in ASKED:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asking:
            try:
                asking.connect((each, 9))
                found.append(asking.getsockname()[0])
            except OSError:
                continue
    found += _resolved(label)
    usable = [each for each in found if not each.startswith(("127.", "0."))]
    return tuple(dict.fromkeys(usable))


def _resolved(name: str) -> list[str]:
    try:
        found = socket.getaddrinfo(name, None, socket.AF_INET, socket.SOCK_STREAM)
    except OSError:
        return []
    return [str(each[4][0]) for each in found]
