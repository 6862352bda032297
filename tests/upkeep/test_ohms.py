"""Ohms between + and − with everything unplugged: against closed forms, ngspice and bad input."""

from __future__ import annotations

import shutil
import subprocess
from pathlib import Path

import numpy as np
import pytest

from layouts import house_from
from layouts.errors import InputError
from layouts.faults import Fault
from layouts.sightings import Sighting, sightings_from_text
from sim.frame import rig
from sim.upkeep.diagnosis import Case, case, diagnose, load_priors
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.ohms import OVER_OHM, copper, fitted, read_now
from sim.upkeep.diagnosis.points import node_of

COUNT, SHORT_OHM, AT = 60, 0.11, 37


@pytest.fixture(scope="module")
def lane() -> Case:
    """One run on one fused wire."""
    house = house_from(
        {
            "name": "lane",
            "drawing": {"size": [4, 4]},
            "runs": [
                {
                    **{"name": "a", "pixels": "ws2812b", "count": COUNT},
                    "path": [[0, 3], [COUNT / 60, 3]],
                }
            ],
            "supplies": [{"name": "psu", "volts": 5, "amps": 10, "source_ohm": 0.01}],
            "wires": [{"from": "psu", "to": "a.start", "wire": "16 AWG", "length": 2.0, "fuse": 5}],
            "outputs": [{"name": "port", "chain": ["a"]}],
        },
        file="lane.yaml",
    )
    return case(rig(house), load_priors())


def _short(at: int, ohm: float = SHORT_OHM) -> Breakage:
    return Breakage("short", (Fault("short", "a", at, ohm=ohm),), 1.0, at, at, fine=True)


def _rail_ohm(of: Case) -> float:
    """Of one rail from one pixel to the next."""
    return float(1 / of.rig.network.values.plus_s[0])


def _expected(of: Case, probe: int, at: int = AT, ohm: float = SHORT_OHM) -> float:
    """By hand: no current flows but in the rails from the probe to the short, there and back."""
    return ohm + 2 * _rail_ohm(of) * abs(at - probe)


def _reading(of: Case, text: str, value: float) -> Sighting:
    entry = f"format: evenfall-sightings/1\nseen:\n  - {{ohms: {value!r}, at: '{text}'}}\n"
    return sightings_from_text(entry, "s.yaml", of.rig.house).seen[0]


def test_a_short_reads_what_it_is_and_the_rails_on_the_way(lane: Case) -> None:
    """R + 2 ρ d on the near side and beyond alike, by hand; without a short nothing is read."""
    causes = [_short(AT), Breakage("dead", (Fault("dead", "a", 3),), 1.0, 3, 3)]
    there = lane.some_of(causes, "scheme")
    made = copper(lane.rig.network, causes, there, [0, 20, AT, 50]).read(np.array([SHORT_OHM, 1]))
    by_hand = [_expected(lane, probe) for probe in (0, 20, AT, 50)]
    # What ties loose ends to the ground takes 1 µS a node.
    np.testing.assert_allclose(made[0], by_hand, rtol=1e-4)
    assert (made[1] == OVER_OHM).all()


def test_where_and_how_bad_a_short_is_comes_of_two_readings(lane: Case) -> None:
    """Whatever its resistance: on either side of the short, R + 2 ρ d and R + 2 ρ (L − d)."""
    causes = [_short(at, ohm) for at in range(COUNT) for ohm in (0.015, 0.032, 0.067, 0.142, 0.3)]
    there = lane.some_of(causes, "scheme")
    seen = [_reading(lane, f"a[{n}]", round(_expected(lane, n), 4)) for n in (0, COUNT - 1)]
    errors = dict(lane.priors.errors)
    likely, ohm = fitted(lane.rig.network, causes, there, seen, errors)
    best = int(likely.argmax())
    assert abs(causes[best].first - AT) <= 1
    assert ohm[best] == pytest.approx(SHORT_OHM, rel=0.04)
    again = read_now(lane.rig.network, [causes[best]], there.taken(np.array([best])), [20], seen,
                     errors)  # fmt: skip
    assert again[0, 0] == pytest.approx(_expected(lane, 20), abs=0.006)


def test_a_short_behind_an_open_fuse_is_found_by_ohms(lane: Case) -> None:
    """All dark, the fuse blown twice: ohms are asked for next, and two readings name the place."""
    lines = [
        *("{dark: a}", "{fuse: 'psu → a.start', then: blown}"),
        "{new_fuse: 'psu → a.start', then: blows}",
    ]
    text = "format: evenfall-sightings/1\nseen:\n" + "".join(f"  - {line}\n" for line in lines)
    seen = sightings_from_text(text, "s.yaml", lane.rig.house).seen
    asked = diagnose(lane, seen).next
    assert asked is not None
    assert asked.test == "ohms"
    for at, probe in (("a.start", 0), ("a.end", COUNT - 1)):
        seen = (*seen, _reading(lane, at, round(_expected(lane, probe) + 0.001, 4)))
    found = diagnose(lane, seen)
    fault = found.suspects[0].fault
    assert fault.kind == "short"
    assert abs((fault.position or 0) - AT) <= 2


@pytest.mark.outside
@pytest.mark.skipif(shutil.which("ngspice") is None, reason="ngspice is not installed")
def test_ngspice_reads_the_same_ohms(lane: Case, tmp_path: Path) -> None:
    """An ampere into + and out of − at a pixel, two rails of resistors and the short."""
    ohm, probe = _rail_ohm(lane), 12
    lines = ["ohms", f"I1 n{probe} p{probe} 1", f"Rshort p{AT} n{AT} {SHORT_OHM!r}", "Rtie n0 0 1"]
    for k in range(COUNT - 1):
        lines += [f"Rp{k} p{k} p{k + 1} {ohm!r}", f"Rn{k} n{k} n{k + 1} {ohm!r}"]
    lines += [".control", "op", f"print p{probe}-n{probe}", "quit", ".endc", ".end"]
    deck = tmp_path / "ohms.cir"
    deck.write_text("\n".join(lines).replace("print p", "print v(p").replace("-n", ")-v(n") + "\n")
    text = deck.read_text().replace(f"v(n{probe}\n", f"v(n{probe})\n")
    deck.write_text(text)
    out = subprocess.run(["ngspice", "-b", str(deck)], capture_output=True, text=True, timeout=30)
    read = float(next(x for x in out.stdout.splitlines() if x.startswith("v(p")).split("=")[1])
    net = lane.rig.network
    node = node_of(net.topology, net.house, ("run", "a", probe + 1))
    causes = [_short(AT)]
    made = copper(net, causes, lane.some_of(causes, "scheme"), [node]).read(np.array([SHORT_OHM]))
    assert made[0, 0] == pytest.approx(read, rel=1e-4)


@pytest.mark.parametrize(
    ("entry", "told"),
    [
        ("{ohms: -0.2, at: 'a[3]'}", "wrong way round"),
        ("{ohms: 0.2}", "needs 'at'"),
        ("{ohms: 0.2, at: 'b[3]'}", "no place"),
        ("{ohms: .nan, at: 'a[3]'}", "s.yaml:3"),
        ("{ohms: 0.2, at: 'a[3]', then: lit}", "has no 'then'"),
    ],
)
def test_ohms_that_cannot_be_are_said(lane: Case, entry: str, told: str) -> None:
    """Each with its line."""
    with pytest.raises(InputError) as caught:
        sightings_from_text(
            f"format: evenfall-sightings/1\nseen:\n  - {entry}\n", "s.yaml", lane.rig.house
        )
    assert told in str(caught.value)
