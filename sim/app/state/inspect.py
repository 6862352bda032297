"""Everything about one pixel, as words: what the inspector shows."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects.colour_spaces import encoded
from layouts import CHANNELS, House
from layouts.addresses import addresses
from sim.frame import Frame
from sim.report.lengths import laid_text


@dataclass(frozen=True)
class Report:
    """One pixel now. `rows` are label and value in order; `srgb` its asked colour for a swatch."""

    title: str
    rows: tuple[tuple[str, str], ...]
    srgb: tuple[int, int, int]
    starved: bool


def address(house: House, pixel: int) -> str:
    """Output, universe and address of a pixel, as a controller's set-up asks for them."""
    where = addresses(house)
    if where.output[pixel] < 0:
        return "on no output"
    name = house.outputs[where.output[pixel]].name
    if not where.universe[pixel]:
        return f"output {name}, pixel {where.place[pixel]}"
    return f"output {name} · {where.universe[pixel]} / {where.address[pixel]}"


def report(house: House, frame: Frame, pixel: int, raw: bool) -> Report:
    """What the inspector says of a pixel in a frame of one time."""
    run = house.runs[house.pixels.run[pixel]]
    codes, volts = frame.codes[pixel], float(frame.volts[pixel])
    light, amps = frame.light[pixel], float(frame.amps[pixel])
    own = [CHANNELS.index(channel.name) for channel in run.kind.channels]
    names = " ".join(CHANNELS[index].upper() for index in own)
    starved = volts < run.kind.min_v
    rows = [
        ("kind", run.kind.name),
        ("universe / address", address(house, pixel)),
        (f"codes {names}", "  ".join(str(codes[index]) for index in own)),
        ("light", "  ".join(f"{100 * float(light[i]):.0f} %" for i in own)),
        ("volts", f"{volts:.3f} V" + (f", needs {run.kind.min_v:g} V" if starved else "")),
        ("current", f"{1000 * amps:.1f} mA"),
        ("place", f"{laid_text(float(house.pixels.along_m[pixel]), house.units)} along the run"),
    ]
    if house.pixels.spare[pixel]:
        rows.insert(1, ("spare", "powered, passes data on, stays dark"))
    asked = codes[:3] / 255 if frame.asked is None else frame.asked[pixel]
    return Report(f"{run.name}[{pixel - run.first}]", tuple(rows), _swatch(asked, raw), starved)


def _swatch(asked: np.ndarray, raw: bool) -> tuple[int, int, int]:
    """The colour asked at its own brightest, in sRGB."""
    rgb = np.clip(np.asarray(asked, float), 0, None)
    rgb = rgb / max(rgb.max(), 1.0)
    if not raw:
        rgb = encoded(rgb)
    red, green, blue = np.rint(255 * rgb).astype(int)
    return int(red), int(green), int(blue)
