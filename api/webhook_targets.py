"""Where messages may go: to targets that the settings list, and to no other, whatever a name resolves to.

An entry is an origin, `https://erp.example` or `http://127.0.0.1:9000`, or a network, `10.20.0.0/16`. A webhook must
be at one of the origins. A name there may lead to addresses of the public Internet, and to those of the networks
listed; so a name that somebody has lead elsewhere (127.0.0.1, the network of the house) reaches nothing.
"""

import socket
from collections.abc import Iterable
from dataclasses import dataclass
from ipaddress import IPv4Address
from ipaddress import IPv4Network
from ipaddress import IPv6Address
from ipaddress import IPv6Network
from ipaddress import ip_address
from ipaddress import ip_network
from typing import Final
from urllib.parse import urlsplit

_PORTS: Final = {"http": 80, "https": 443}
_LONGEST: Final = 2_000
#: Networks that are not the Internet, whatever `ipaddress` makes of them. Addresses for protocols, of which a cloud has
#: one for its machines' secrets (RFC 6890); and those that stand for others, of the fourth version: compatible ones
#: (RFC 4291), NAT64 (RFC 6052, RFC 8215), 6to4 (RFC 3056), Teredo (RFC 4380). A gateway takes 64:ff9b::7f00:1 to
#: 127.0.0.1.
_ELSEWHERE: Final[tuple[IPv4Network | IPv6Network, ...]] = (
    IPv4Network("192.0.0.0/24"),
    *map(IPv6Network, ("::/96", "64:ff9b::/96", "64:ff9b:1::/48", "2002::/16", "2001::/32")),
)


class NotAllowed(ValueError):
    """A target is none that messages may go to. The message says why, as the predicate of a sentence."""


@dataclass(frozen=True, slots=True)
class Target:
    """An address of a webhook, taken apart. `path` includes the query."""

    scheme: str
    host: str
    port: int
    path: str

    @property
    def origin(self) -> tuple[str, str, int]:
        """What is looked for in the list."""
        return self.scheme, self.host, self.port

    @property
    def host_header(self) -> str:
        """The host as a request names it."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        return host if self.port == _PORTS[self.scheme] else f"{host}:{self.port}"


class AllowList:
    """The targets that the settings list."""

    def __init__(self, entries: Iterable[str]) -> None:
        """Read the entries. Raises ValueError, which names it, for one that is neither origin nor network."""
        self._origins: set[tuple[str, str, int]] = set()
        self._networks: list[IPv4Network | IPv6Network] = []
        for entry in entries:
            if "://" in entry:
                self._origins.add(_origin(entry))
            else:
                self._networks.append(_network(entry))

    def target(self, url: str) -> Target:
        """Return the target of an address that is allowed. Raises NotAllowed."""
        target = _target(url)
        if target.origin not in self._origins:
            raise NotAllowed(
                "is not at one of the targets that this service may send to; they are listed in its settings, by "
                "scheme, host and port"
            )
        return target

    def addresses(self, target: Target) -> list[str]:
        """Return the addresses at which a target is, all of them allowed. Raises NotAllowed, OSError."""
        found = socket.getaddrinfo(target.host, target.port, type=socket.SOCK_STREAM)
        addresses = list(dict.fromkeys(str(each[4][0]) for each in found))
        for text in addresses:
            if not self._allows(target, text):
                raise NotAllowed("leads to an address that is neither public nor in a network that the settings list")
        return addresses

    def _allows(self, target: Target, text: str) -> bool:
        address = _plain(ip_address(text.partition("%")[0]))
        if _is_address(target.host) and _plain(ip_address(target.host)) == address:
            return True  # the list names this very address
        within = any(address in network for network in self._networks if network.version == address.version)
        return within or is_public(address)


def _target(url: str) -> Target:
    try:
        parts = urlsplit(url)
        port = parts.port
    except ValueError as error:
        raise NotAllowed("is no address of the web") from error
    host = parts.hostname
    plain = url.isascii() and url.isprintable() and " " not in url and len(url) <= _LONGEST
    if parts.scheme not in _PORTS or not host or not plain or "\\" in url:
        raise NotAllowed("is no address of the web; write one such as https://erp.example/hooks/sccr")
    if parts.username is not None or parts.password is not None or parts.fragment:
        raise NotAllowed("holds a user, a password or a fragment; leave them out")
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    return Target(parts.scheme, host.rstrip("."), _PORTS[parts.scheme] if port is None else port, path)


def _origin(entry: str) -> tuple[str, str, int]:
    try:
        target = _target(entry)
    except NotAllowed as refused:
        raise ValueError(f"the webhook target {entry!r} {refused}") from refused
    if target.path != "/":
        raise ValueError(f"the webhook target {entry!r} has a path; a target is listed by scheme, host and port")
    return target.origin


def _network(entry: str) -> IPv4Network | IPv6Network:
    try:
        return ip_network(entry)
    except ValueError as error:
        raise ValueError(
            f"the webhook target {entry!r} is neither an origin, such as https://erp.example, nor a network, such as "
            f"10.20.0.0/16: {error}"
        ) from error


def _is_address(host: str) -> bool:
    try:
        ip_address(host)
    except ValueError:
        return False
    return True


def _plain(address: IPv4Address | IPv6Address) -> IPv4Address | IPv6Address:
    """Return an address of the fourth version that is written as one of the sixth as what it is."""
    mapped = address.ipv4_mapped if isinstance(address, IPv6Address) else None
    return mapped or address


def is_public(address: IPv4Address | IPv6Address) -> bool:
    """Return whether an address is one of the public Internet, and none that a gateway takes elsewhere."""
    if any(address in network for network in _ELSEWHERE):
        return False
    if isinstance(address, IPv6Address) and address.is_site_local:
        return False
    return address.is_global and not address.is_multicast
