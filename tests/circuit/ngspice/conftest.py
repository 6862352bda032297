"""A house as an ngspice netlist with both rails, written from the house alone.

It shares nothing with `sim.circuit`: + and − conductors are separate resistors, the pixel is a
behavioural current source, and the − of separate networks is common at one point, the ground.
"""

import os
import shutil
import subprocess
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pytest

from layouts import fuses
from layouts.records import CHANNELS, House, Kind, WireEnd

#: Tight enough that ngspice is good to a few nanovolt.
OPTIONS = ".options reltol=1e-9 abstol=1e-14 vntol=1e-11 gmin=1e-18 itl1=100 itl2=2000"


def copper_ohm(length_m: float, area_mm2: float, temperature_c: float) -> float:
    """One conductor: ρ·L/A at 58 MS/m (IEC 60028), α = 0.00393 /K (IACS)."""
    return length_m / (58 * area_mm2) * (1 + 0.00393 * (temperature_c - 20))


def pixel_law(kind: Kind, codes: np.ndarray, plus: str, minus: str, level: str) -> str:
    """The current of one pixel as an ngspice expression; `level` multiplies the duties."""
    volts = f"v({plus},{minus})"

    def clip(expression: str) -> str:
        return f"min(max({expression},0),1)"

    duty_a = {
        c.name: c.current_ma / 1000 * int(codes[CHANNELS.index(c.name)]) / 255
        for c in kind.channels
    }
    parts = [f"{kind.idle_ma / 1000!r}*{clip(f'{volts}/{kind.min_v!r}')}"]
    if kind.idle_resistor:  # (v − 5)/R with R such that idle_ma flow at the nominal voltage
        ohm = (kind.supply_v - 5) / (kind.idle_ma / 1000)
        parts = [f"max({volts}-5,0)/{ohm!r}"]
    if kind.law == "staggered":
        sum_v = sum(c.vf_v for c in kind.channels)
        above = clip(f"({volts}-{sum_v!r})/{kind.headroom_v!r}")
        most_a = max(c.current_ma for c in kind.channels) / 1000
        parts.append(f"min({level}*{sum(duty_a.values())!r},{most_a!r})*{above}")
    elif kind.law == "resistor":
        for c in kind.channels:
            ohm = c.resistor_ohm or kind.resistor_ohm
            duty = duty_a[c.name] / (c.current_ma / 1000)
            through = f"max({volts}-{c.vf_v + kind.headroom_v!r},0)/{ohm!r}"
            parts.append(f"{level}*{duty!r}*min({c.current_ma / 1000!r},{through})")
    elif kind.law == "regulator":
        made = kind.regulator
        own_a, inner = made.own_ma / 1000, f"min({made.gives_v!r},{volts}-{made.dropout_v!r})"
        parts = [f"{(kind.idle_ma + made.own_ma) / 1000!r}*{clip(f'{volts}/{kind.min_v!r}')}"]
        for c in kind.channels:
            above = clip(f"({inner}-{c.vf_v!r})/{kind.headroom_v!r}")
            parts.append(f"{level}*{duty_a[c.name]!r}*{above}")
        if made.efficiency is not None:  # P/(η·v) as soon as that is less than the node draws
            linear, node_a = "+".join(parts), f"{kind.idle_ma / 1000!r}"
            node_a += f"+{level}*{sum(duty_a.values())!r}"
            drawn = f"{own_a!r}+{made.gives_v / made.efficiency!r}*({node_a})/max({volts},1)"
            parts = [f"min({linear},{drawn})"]
    elif kind.law == "series":
        sum_v = sum(c.vf_v for c in kind.channels)
        above = clip(f"({volts}-{sum_v!r})/{kind.headroom_v!r}")
        parts.append(f"{level}*{max(duty_a.values())!r}*{above}")
    else:
        for c in kind.channels:
            above = clip(f"({volts}-{c.vf_v!r})/{kind.headroom_v!r}")
            parts.append(f"{level}*{duty_a[c.name]!r}*{above}")
    return "+".join(parts)


def node(house: House, end: WireEnd) -> str:
    """The name of a wire's end, without its polarity."""
    if end.kind == "run":
        return f"{end.name}_{end.pad}"
    return end.name


def networks(house: House) -> list[set[str]]:
    """Names of supplies, junctions and runs that hang together."""
    parts = [{wire.start.name, wire.end.name} for wire in house.wires]
    for _ in parts:
        for part in parts:
            for other in parts:
                if part is not other and part & other:
                    part |= other
                    other.clear()
    return [part for part in parts if part]


def netlist(house: House, codes: np.ndarray, level: str = "1") -> list[str]:
    """The elements of a house showing `codes` (N, 4), as lines."""
    lines = []
    hot = 1 + 0.00393 * (house.temperature_c - 20)
    for run in house.runs:
        lead_m = max(run.pitch_m, run.kind.pitch_m) if run.kind.mount == "string" else run.pitch_m
        rail = run.kind.rail_ohm_per_m * lead_m * hot
        used = {e.pad for w in house.wires for e in (w.start, w.end) if e.name == run.name}
        for pad in range(run.count + 1):
            end_pad = pad == 0 or pad == run.count
            if end_pad and (0 if pad == 0 else run.count + 1) not in used:
                continue
            ohm = rail / 2 if end_pad else rail
            for pole in "n" if pad in run.cuts else "pn":
                a, b = f"{pole}_{run.name}_{pad}", f"{pole}_{run.name}_{pad + 1}"
                lines.append(f"Rrail_{pole}_{run.name}_{pad} {a} {b} {ohm!r}")
        for k in range(run.count):
            plus, minus = f"p_{run.name}_{k + 1}", f"n_{run.name}_{k + 1}"
            law = pixel_law(run.kind, codes[run.first + k], plus, minus, level)
            lines.append(f"Bpixel_{run.name}_{k} {plus} {minus} I={law}")
    for w, wire in enumerate(house.wires):
        ohm = copper_ohm(wire.length_m, wire.size.area_mm2, house.temperature_c)
        fuse_ohm = 0.0 if wire.fuse_a is None else fuses().cold_ohm(wire.fuse_a)
        for pole, extra_ohm in (("p", fuse_ohm), ("n", 0.0)):
            a, b = (f"{pole}_{node(house, end)}" for end in (wire.start, wire.end))
            lines.append(f"Rwire_{pole}_{w} {a} {b} {ohm + extra_ohm!r}")
    for s, supply in enumerate(house.supplies):
        inner = f"p_{supply.name}" if supply.source_ohm == 0 else f"inner_{s}"
        lines.append(f"Vsupply_{s} {inner} n_{supply.name} {supply.volts!r}")
        if supply.source_ohm:
            lines.append(f"Rsource_{s} {inner} p_{supply.name} {supply.source_ohm!r}")
    for n, part in enumerate(networks(house)):
        first = next(supply.name for supply in house.supplies if supply.name in part)
        lines.append(f"Vground_{n} n_{first} 0 0")
    return lines


def run_ngspice(
    lines: list[str], folder: Path, options: str = OPTIONS
) -> tuple[dict[str, np.ndarray], str]:
    """Every saved vector by name, and what ngspice printed."""
    deck, raw = folder / "house.cir", folder / "house.raw"
    deck.write_text("\n".join(["* a house", *lines, options, ".end"]) + "\n")
    done = subprocess.run(
        ["ngspice", "-b", "-r", str(raw), str(deck)], capture_output=True, text=True, check=False
    )
    if not raw.exists():
        raise RuntimeError(done.stdout + done.stderr)
    head, _, body = raw.read_bytes().partition(b"Binary:\n")
    listed = head.decode().partition("Variables:\n")[2].strip().splitlines()
    names = [line.split()[1] for line in listed]
    table = np.frombuffer(body, dtype=float).reshape(-1, len(names))
    return dict(zip(names, table.T, strict=True)), done.stdout


@dataclass(frozen=True)
class Both:
    """Both conductors of a house: N pixels, W wires."""

    plus_v: np.ndarray  # (N,)
    minus_v: np.ndarray  # (N,)
    plus_a: np.ndarray  # (W,) from the wire's start to its end
    minus_a: np.ndarray  # (W,) from its end back to its start


def without(lines: list[str], elements: Iterable[str]) -> list[str]:
    """The netlist with these elements taken out."""
    gone = set(elements)
    assert gone <= {line.split()[0] for line in lines}
    return [line for line in lines if line.split()[0] not in gone]


@pytest.fixture
def both(tmp_path: Path) -> Callable[..., Both]:
    """both(house, codes, gone=(), more=()) → what ngspice finds in both conductors.

    `gone` names elements that are taken out, `more` are lines that are added.
    """
    needs_ngspice()

    def found(
        house: House, codes: np.ndarray, gone: Iterable[str] = (), more: Iterable[str] = ()
    ) -> Both:
        lines = without(netlist(house, codes), gone)
        wires = [line.split() for line in lines if line.startswith("Rwire_")]
        told, _ = run_ngspice([*lines, *more, ".op"], tmp_path)
        told["v(0)"] = np.zeros(1)
        names = [f"{run.name}_{k + 1}" for run in house.runs for k in range(run.count)]
        amps = {
            name: float(told[f"v({a})"][0] - told[f"v({b})"][0]) / float(ohm)
            for name, a, b, ohm in wires
        }
        each = range(len(house.wires))
        return Both(
            np.array([told[f"v(p_{n})"][0] for n in names]),
            np.array([told[f"v(n_{n})"][0] for n in names]),
            np.array([amps.get(f"Rwire_p_{w}", 0.0) for w in each]),
            np.array([-amps.get(f"Rwire_n_{w}", 0.0) for w in each]),
        )

    return found


def needs_ngspice() -> None:
    """Skips without it; on a build server that is a failure."""
    if shutil.which("ngspice") is None:
        if os.environ.get("CI"):
            pytest.fail("ngspice is missing; apt-get install ngspice")
        pytest.skip("ngspice is not installed")


@pytest.fixture
def spice(tmp_path: Path) -> Callable[..., np.ndarray]:
    """spice(house, codes) → (N,) [V] between + and − of every pixel, as ngspice finds them."""
    needs_ngspice()

    def volts(house: House, codes: np.ndarray) -> np.ndarray:
        found, _ = run_ngspice([*netlist(house, codes), ".op"], tmp_path)
        names = [f"{run.name}_{k + 1}" for run in house.runs for k in range(run.count)]
        return np.array([found[f"v(p_{n})"][0] - found[f"v(n_{n})"][0] for n in names])

    return volts
