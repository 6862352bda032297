"""The frames of a scheme as data: codes block by block, and as a capture of E1.31 packets."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from effects import Show
from layouts.records import House
from sim.frame import Rig, on_wire

from .packets import HEAD, DataPacket
from .patch import HousePatch, levels_from, order_of
from .pcap import (
    ETHERNET_EXTRA,
    OCTET_S,
    pcap_header,
    put_times,
    universe_records,
)

#: Pixels a block holds over all its frames, about; whole groups of frames.
_BLOCK_PIXELS, _GROUP = 1 << 17, 16


@dataclass(frozen=True, eq=False)
class OutputLine:
    """What one output sends for a frame: M codes, in the order of its data line."""

    name: str
    pixel: np.ndarray  # (M,) index of House.pixels
    channel: np.ndarray  # (M,) index of CHANNELS


def output_lines(house: House) -> tuple[OutputLine, ...]:
    """Every output with its pixels in chain order and each pixel's channels in its kind's order."""
    lines = []
    for output in house.outputs:
        pixel, channel = [], []
        for name in output.chain:
            run = house.run(name)
            order = order_of(run)
            there = run.first + np.flatnonzero(run.has_pixel)
            pixel.append(np.repeat(there, len(order)))
            channel.append(np.tile(order, run.present))
        lines.append(OutputLine(output.name, np.concatenate(pixel), np.concatenate(channel)))
    return tuple(lines)


def block_frames(pixels: int) -> int:
    """How many frames of so many pixels are worked on at a time."""
    return _GROUP * max(1, _BLOCK_PIXELS // (_GROUP * max(1, pixels)))


def code_blocks(rig: Rig, show: Show, frames: int) -> Iterator[tuple[int, np.ndarray]]:
    """(number of the first frame, codes (T, N, C) uint8) of the first `frames` frames."""
    size = block_frames(len(rig.house.pixels))
    for first in range(0, frames, size):
        numbers = np.arange(first, min(first + size, frames))
        yield first, on_wire(rig, show, numbers / show.fps)


def source_id(text: str) -> bytes:
    """16 octets that stand for a source, the same whenever the text is."""
    return uuid.uuid5(uuid.NAMESPACE_OID, f"evenfall {text}").bytes


def source_name(house: House) -> str:
    """How packets of a house name their source."""
    return f"Evenfall {house.name}"


def pcap_blocks(patch: HousePatch, rig: Rig, show: Show, frames: int) -> Iterator[bytes]:
    """A capture of all frames: frame k at k / fps, its packets one behind the other.

    They follow as on Ethernet at 100 Mbit/s, or closer where the frame would not hold them.
    """
    cid, name = source_id(f"frames {patch.house.name}"), source_name(patch.house)
    packets = [DataPacket(cid, universe, 0, b"", name) for universe in patch.universes]
    octets = np.array([42 + HEAD + count + ETHERNET_EXTRA for count in patch.counts])
    behind_s = np.concatenate([[0.0], np.cumsum(octets * OCTET_S)[:-1]])
    if len(behind_s) and behind_s[-1] > 0.9 / show.fps:
        behind_s *= 0.9 / show.fps / behind_s[-1]
    behind_ns = np.rint(behind_s * 1e9)
    yield pcap_header()
    for first, codes in code_blocks(rig, show, frames):
        levels = levels_from(patch, codes)
        begin_ns = np.rint((first + np.arange(len(codes))) / show.fps * 1e9)
        parts = []
        for u, (packet, count) in enumerate(zip(packets, patch.counts, strict=True)):
            rows = universe_records(packet, levels[:, u, :count], first)
            put_times(rows, begin_ns + behind_ns[u])
            parts.append(rows)
        yield np.concatenate(parts, axis=1).tobytes()
