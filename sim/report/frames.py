"""The codes of a scheme as files for other programs: arrays with names, lines of a table."""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO

import numpy as np

from effects import Show
from layouts.errors import EvenfallError
from layouts.records import CHANNELS
from sim.data.frames import code_blocks, output_lines
from sim.data.patch import HousePatch
from sim.frame import Rig
from sim.scan import Progress

from .csv_cells import csv_line

#: Codes held at once for arrays [octets]; a table or a capture is written as it comes.
MOST_CODES = 1 << 30


def csv_blocks(rig: Rig, show: Show, frames: int, progress: Progress) -> Iterator[bytes]:
    """One line a frame after a line of names: the time [s], then every code as it is sent.

    Columns are `output run[position] channel`, in the order of each output's data line.
    """
    house, lines = rig.house, output_lines(rig.house)
    names = ["time_s"]
    for line in lines:
        for pixel, channel in zip(line.pixel.tolist(), line.channel.tolist(), strict=True):
            run = house.runs[house.pixels.run[pixel]]
            names.append(f"{line.name} {run.name}[{pixel - run.first}] {CHANNELS[channel]}")
    pixels = np.concatenate([line.pixel for line in lines])
    channels = np.concatenate([line.channel for line in lines])
    yield csv_line(names).encode()
    for first, codes in code_blocks(rig, show, frames):
        sent = codes[:, pixels, channels].tolist()
        yield "".join(
            f"{(first + row) / show.fps:.9g},{','.join(map(str, each))}\n"
            for row, each in enumerate(sent)
        ).encode()
        progress(first + len(codes), frames)


def write_arrays(
    file: BinaryIO, patch: HousePatch, rig: Rig, show: Show, frames: int, progress: Progress
) -> None:
    """`.npz`: `time_s` (T,) [s], `fps`, `outputs`, and of every output NAME its M codes.

    `codes NAME` (T, M) uint8 as they are sent; `pixel NAME`, `channel NAME` (r, g, b, w, c),
    `universe NAME`, `slot NAME` (M,) say what each is, 0 where there is no universe.
    """
    lines = output_lines(rig.house)
    if frames * sum(len(line.pixel) for line in lines) > MOST_CODES:
        raise EvenfallError(
            f"{frames} frames are too many for arrays; ask for fewer --seconds, or write .csv "
            "or .pcap"
        )
    kept = {line.name: np.empty((frames, len(line.pixel)), np.uint8) for line in lines}
    for first, codes in code_blocks(rig, show, frames):
        for line in lines:
            kept[line.name][first : first + len(codes)] = codes[:, line.pixel, line.channel]
        progress(first + len(codes), frames)
    arrays: dict[str, np.ndarray] = {
        "time_s": np.arange(frames) / show.fps,
        "fps": np.array(show.fps),
        "outputs": np.array([line.name for line in lines]),
    }
    letters = np.array(CHANNELS)
    slot = np.zeros((len(rig.house.pixels), len(rig.house.channels)), dtype=np.int32)
    slot[patch.pixel, patch.channel] = patch.column + 1
    for line in lines:
        arrays |= {
            f"codes {line.name}": kept[line.name],
            f"pixel {line.name}": line.pixel,
            f"channel {line.name}": letters[line.channel],
            f"universe {line.name}": patch.universe[line.pixel],
            f"slot {line.name}": slot[line.pixel, line.channel],
        }
    np.savez_compressed(file, **arrays)  # type: ignore[arg-type]
