"""Sockets for E1.31: what is bound is what was asked, and nothing else.

A listener binds the one address it is told, or each group of the universes it wants, each on a
socket of its own (so no datagram of another group comes in, and the usual limit of twenty groups a
socket does not matter). A sender binds no port. Whatever the system refuses is told in words.
"""

from __future__ import annotations

import errno
import ipaddress
import os
import socket
import struct
from dataclasses import dataclass

from layouts.errors import EvenfallError

from .packets import DISCOVERY_UNIVERSE, PORT
from .pcap import group_of

#: What `--to` calls the group of every universe.
GROUPS = {"multicast": 4, "multicast-ipv6": 6}
#: Room asked for datagrams that wait to be read [octets].
ROOM = 8 << 20
#: Linux: more room than the usual most, for who may; and the time of arrival, nanoseconds.
_SO_RCVBUFFORCE, SO_TIMESTAMPNS = 33, 35


@dataclass(frozen=True, eq=False)
class SendingLine:
    """A socket that sends, and where each universe goes."""

    socket: socket.socket
    targets: dict[int, tuple]  # type: ignore[type-arg]
    discovery: tuple | None  # type: ignore[type-arg]  # where universes are offered
    said: str  # where it goes, in words


def sending_line(
    to: str, universes: tuple[int, ...], *, port: int = PORT, source: str | None, ttl: int
) -> SendingLine:
    """A socket for `to`: an address, `multicast` or `multicast-ipv6`.

    Raises EvenfallError for an address that cannot be sent to.
    """
    if to in GROUPS:
        version = GROUPS[to]
        family = socket.AF_INET if version == 4 else socket.AF_INET6
        groups = {u: group_of(u, version) for u in (*universes, DISCOVERY_UNIVERSE)}
        made = _socket(family)
        try:
            _send_options(made, family, source, ttl)
        except OSError as error:
            made.close()
            raise EvenfallError(f"--from {source}: {_why(error)}") from None
        index = _interface_of(source)
        ends = {
            u: (group, port) if version == 4 else (group, port, 0, index)
            for u, group in groups.items()
        }
        discovery = ends.pop(DISCOVERY_UNIVERSE)
        first, last = groups[universes[0]], groups[universes[-1]]
        said = first if first == last else f"{first} … {last}"
        return SendingLine(
            made, ends, discovery, f"the groups {said}, port {port}, {ttl} hop{_s(ttl)}"
        )
    sort, end = _address(to, port, "--to")
    if ipaddress.ip_address(end[0].split("%")[0]).is_multicast or end[0] == "255.255.255.255":
        raise EvenfallError(
            f"--to {to}: every universe has a group of its own; write --to multicast, or the "
            "address of one receiver"
        )
    made = _socket(sort)
    try:
        _send_options(made, sort, source, ttl)
    except OSError as error:
        made.close()
        raise EvenfallError(f"--from {source}: {_why(error)}") from None
    return SendingLine(made, dict.fromkeys(universes, end), None, f"{end[0]}, port {port}")


def receiving_sockets(
    at: str | None, universes: tuple[int, ...], *, port: int = PORT, multicast: bool = False
) -> list[socket.socket]:
    """Sockets bound to what is asked; not blocking.

    at : an address of this machine. Alone: datagrams to it. With `multicast`: the groups of
        `universes` on the interface that has it. None: the groups, on the usual interface.
    Raises EvenfallError where the address is not there or in use, or groups cannot be joined.
    """
    if at is not None and not multicast:
        sort, end = _address(at, port, "--at")
        if ipaddress.ip_address(end[0].split("%")[0]).is_multicast:
            raise EvenfallError(
                f"--at {at}: name an address of this machine; with --multicast the groups of the "
                "house's universes are joined there"
            )
        return [_bound(sort, end, f"{at}, port {port}", shared=False)]
    family: int = socket.AF_INET
    index, ours = 0, "0.0.0.0"
    if at is not None:
        family, end = _address(at, port, "--at")
        ours, index = end[0].split("%")[0], _interface_of(at)
    made: list[socket.socket] = []
    try:
        for universe in universes:
            group = group_of(universe, 4 if family == socket.AF_INET else 6)
            here = (group, port) if family == socket.AF_INET else (group, port, 0, index)
            bound = _bound(family, here, f"group {group}, port {port}", shared=True)
            made.append(bound)
            _join(bound, family, group, ours, index)
    except OSError as error:
        for each in made:
            each.close()
        where = f"on {at}" if at else "on any interface"
        raise EvenfallError(
            f"universe {universe} cannot be joined {where}: {_why(error)}; name the address of the "
            "network's interface with --at ADDRESS --multicast, or have it sent to --at ADDRESS"
        ) from None
    except EvenfallError:
        for each in made:
            each.close()
        raise
    return made


def dropped(sockets: list[socket.socket]) -> int | None:
    """Datagrams the system threw away before they were read; None where it does not say."""
    inodes = {str(os.fstat(each.fileno()).st_ino) for each in sockets}
    total, known = 0, False
    for table in ("/proc/net/udp", "/proc/net/udp6"):
        try:
            with open(table, encoding="ascii") as lines:
                for line in lines:
                    fields = line.split()
                    if len(fields) > 12 and fields[9] in inodes:
                        total, known = total + int(fields[12]), True
        except OSError:
            continue
    return total if known else None


def _bound(family: int, end: tuple, said: str, *, shared: bool) -> socket.socket:  # type: ignore[type-arg]
    made = _socket(family)
    try:
        if shared:  # several programs may hear the same group
            made.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        if family == socket.AF_INET6:
            made.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_V6ONLY, 1)
        for option in (_SO_RCVBUFFORCE, socket.SO_RCVBUF):
            try:
                made.setsockopt(socket.SOL_SOCKET, option, ROOM)
                break
            except OSError:
                continue
        made.setblocking(False)
        made.bind(end)
    except OSError as error:
        made.close()
        raise EvenfallError(f"cannot listen at {said}: {_why(error)}") from None
    return made


def _join(made: socket.socket, family: int, group: str, ours: str, index: int) -> None:
    packed = ipaddress.ip_address(group).packed
    if family == socket.AF_INET:
        member = packed + ipaddress.ip_address(ours).packed
        made.setsockopt(socket.IPPROTO_IP, socket.IP_ADD_MEMBERSHIP, member)
    else:
        member = packed + struct.pack("@I", index)
        made.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_JOIN_GROUP, member)


def _send_options(made: socket.socket, family: int, source: str | None, ttl: int) -> None:
    if family == socket.AF_INET:
        made.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_TTL, ttl)
        made.setsockopt(socket.IPPROTO_IP, socket.IP_TTL, max(ttl, 1))
        if source is not None:
            packed = ipaddress.IPv4Address(source).packed
            made.setsockopt(socket.IPPROTO_IP, socket.IP_MULTICAST_IF, packed)
            made.bind((source, 0))
        return
    made.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_MULTICAST_HOPS, ttl)
    if source is not None:
        index = struct.pack("@I", _interface_of(source))
        made.setsockopt(socket.IPPROTO_IPV6, socket.IPV6_MULTICAST_IF, index)


def _socket(family: int) -> socket.socket:
    try:
        return socket.socket(family, socket.SOCK_DGRAM)
    except OSError as error:
        version = 4 if family == socket.AF_INET else 6
        raise EvenfallError(f"no IPv{version} on this machine: {_why(error)}") from None


def _address(text: str, port: int, flag: str) -> tuple[int, tuple]:  # type: ignore[type-arg]
    """The family and the end of an address or of a host's name."""
    try:
        found = socket.getaddrinfo(text, port, type=socket.SOCK_DGRAM)
    except (OSError, UnicodeError):
        raise EvenfallError(
            f"{flag} {text}: no such address; write one like 192.168.1.20 or fe80::1%eth0"
        ) from None
    family, _, _, _, end = found[0]
    return family, end


def _interface_of(address: str | None) -> int:
    """The number of the interface behind the % of an IPv6 address; 0 for the usual one."""
    if address is None or "%" not in address:
        return 0
    name = address.rsplit("%", 1)[1]
    try:
        return int(name) if name.isdigit() else socket.if_nametoindex(name)
    except OSError:
        raise EvenfallError(f"{address}: there is no interface {name}") from None


def _why(error: OSError) -> str:
    told = {
        errno.EADDRINUSE: "another program listens there already; stop it or name another --port",
        errno.EADDRNOTAVAIL: "this machine has no such address",
        errno.ENODEV: "there is no route for groups",
        errno.ENETUNREACH: "there is no route to it",
        errno.EACCES: "this is not allowed; ports below 1024 are the system's",
    }
    return told.get(error.errno or 0, error.strerror or str(error))


def _s(number: int) -> str:
    return "" if number == 1 else "s"
