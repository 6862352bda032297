"""From a packet on its link to the datagram of E1.31 in it.

Ethernet with or without VLAN tags, Linux cooked links of both versions, loopback, IP alone; IPv4
and IPv6 with its extension headers; UDP. What is something else is told by a word and counted.
Link types as pcap numbers them; headers by RFC 791, 8200, 768 and IEEE 802.1Q.
"""

from __future__ import annotations

import ipaddress
import struct
from typing import NamedTuple

from .packets import IDENTIFIER, PORT

#: Why a packet is no datagram for us.
OTHER = ("other-traffic", "other-link", "fragment")

_IPV4, _IPV6, _TAGS = 0x0800, 0x86DD, (0x8100, 0x88A8, 0x9100)
_NULL, _ETHERNET, _LOOP, _SLL, _SLL2 = 0, 1, 108, 113, 276
_RAW = (12, 14, 101, 228, 229)
_UDP, _FRAGMENT, _EXTENSIONS = 17, 44, (0, 43, 60)


class Heard(NamedTuple):
    """A datagram that is, or claims to be, one of E1.31."""

    address: str  # of its source
    payload: bytes


def heard_in(link: int, octets: bytes) -> Heard | str:
    """The datagram in a packet, or one of `OTHER`. Never raises."""
    if link == _ETHERNET:
        at = 12
        while octets[at : at + 2] in _TAG_OCTETS:
            at += 4
        return _network(octets, at + 2, octets[at : at + 2])
    if link == _SLL:
        return _network(octets, 16, octets[14:16])
    if link == _SLL2:
        return _network(octets, 20, octets[0:2])
    if link in _RAW:
        return _internet(octets, 0)
    if link in (_NULL, _LOOP):
        return _internet(octets, 4)
    return "other-link"


_TAG_OCTETS = tuple(struct.pack(">H", each) for each in _TAGS)
_NETWORKS = tuple(struct.pack(">H", each) for each in (_IPV4, _IPV6))


def _network(octets: bytes, at: int, kind: bytes) -> Heard | str:
    return _internet(octets, at) if kind in _NETWORKS else "other-traffic"


def _internet(octets: bytes, at: int) -> Heard | str:
    if len(octets) < at + 20:
        return "other-traffic"
    version = octets[at] >> 4
    if version == 4:
        head = (octets[at] & 15) * 4
        if head < 20 or octets[at + 9] != _UDP:
            return "other-traffic"
        if (octets[at + 6] & 0x3F) or octets[at + 7]:  # more follow, or an offset
            return "fragment"
        return _datagram(octets, at + head, octets[at + 12 : at + 16])
    if version == 6 and len(octets) >= at + 40:
        source, following, begin = octets[at + 8 : at + 24], octets[at + 6], at + 40
        while following in _EXTENSIONS and len(octets) >= begin + 8:
            following, begin = octets[begin], begin + 8 * (octets[begin + 1] + 1)
        if following == _FRAGMENT:
            return "fragment"
        return _datagram(octets, begin, source) if following == _UDP else "other-traffic"
    return "other-traffic"


def _datagram(octets: bytes, at: int, source: bytes) -> Heard | str:
    """The payload at UDP's port 5568, or on any other port one that says it is ACN."""
    if len(octets) < at + 8:
        return "other-traffic"
    port, length = struct.unpack_from(">HH", octets, at + 2)
    payload = octets[at + 8 : at + length] if length >= 8 else b""
    if port != PORT and payload[4:16] != IDENTIFIER:
        return "other-traffic"
    return Heard(str(ipaddress.ip_address(source)), payload)
