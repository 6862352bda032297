"""A few frames worked out without compiled code, against what is compiled."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from layouts import load_house
from sim.circuit import Network, alone, build, far_shorts, solve, solve_constant
from sim.circuit.law import nameplate_a

DEMO = Path(__file__).resolve().parents[2] / "demo"
#: [V] and [A]: both do the same sums, so rounding is all there is between them.
SAME = 1e-9


def both(monkeypatch: pytest.MonkeyPatch, house: str) -> tuple[Network, Network]:
    """The same house twice: one to be solved without compiled code, and one with it."""
    networks = tuple(build(load_house(DEMO / house / "house.yaml")) for _ in range(2))
    for network, small in zip(networks, (True, False), strict=True):
        monkeypatch.setattr("sim.circuit.alone.asleep", lambda small=small: small)
        assert network.parts
    return networks


@pytest.fixture(params=["cottage", "lodge"])
def plain_and_compiled(request, monkeypatch: pytest.MonkeyPatch):
    """Both networks, and a function that has a thing worked out both ways."""
    plain, compiled = both(monkeypatch, request.param)

    def each(what):
        found = []
        for network, asleep in ((plain, True), (compiled, False)):
            for place in ("alone", "short_circuit", "results"):
                monkeypatch.setattr(f"sim.circuit.{place}.asleep", lambda asleep=asleep: asleep)
            found.append(what(network))
        return found

    return each


def test_the_factors_are_the_same(plain_and_compiled) -> None:
    ones, others = plain_and_compiled(lambda network: network.parts)
    assert len(ones) == len(others) > 0
    for one, other in zip(ones, others, strict=True):
        np.testing.assert_array_equal(one.inverse, other.inverse)
        np.testing.assert_array_equal(one.entry, other.entry)


@pytest.mark.parametrize("level", [0, 20])
def test_frames_in_full(plain_and_compiled, level: int) -> None:
    def found(network: Network):
        shape = (2, network.pixels, len(network.house.channels))
        return solve(network, np.full(shape, level, np.uint8))

    one, other = plain_and_compiled(found)
    np.testing.assert_allclose(one.state, other.state, rtol=0, atol=SAME)
    np.testing.assert_allclose(one.amps, other.amps, rtol=0, atol=SAME)


def test_a_starved_frame_is_left_to_what_is_compiled(make, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sim.circuit.alone.asleep", lambda: True)
    long = make.house({"a": (make.kind(), 200)}, [make.supply()], [("psu", "a.start", "14 AWG", 2)])
    network = build(long)
    white = np.full((1, network.pixels, len(network.house.channels)), 255, np.uint8)
    starved = solve(network, white)
    law = network.live_law
    assert (starved.volts < law.flat_v[law.kind]).any(), "the test needs a pixel that is starved"
    room = np.zeros_like(starved.state), np.zeros_like(starved.amps)
    assert not alone.frames_in_full(network, white, *room)
    assert starved.amps.sum() < alone.full_a(law, white).sum()


def test_constant_currents_and_shorts(plain_and_compiled) -> None:
    def found(network: Network):
        flow = solve_constant(network, nameplate_a(network.law))
        return flow.state, flow.minus_v, far_shorts(network)

    (state, minus_v, shorts), others = plain_and_compiled(found)
    np.testing.assert_allclose(state, others[0], rtol=0, atol=SAME)
    np.testing.assert_allclose(minus_v, others[1], rtol=0, atol=SAME)
    assert any(shorts)
    for one, other in zip(shorts, others[2], strict=True):
        assert (one is None) == (other is None)
        if one is not None:
            assert (one.where, one.rated_a) == (other.where, other.rated_a)
            assert one.amps == pytest.approx(other.amps, abs=SAME)


def test_what_is_worked_out_here_does_not_depend_on_what_was_before(monkeypatch) -> None:
    """Asked of the work and of numba alone, so that a run can be repeated to the last bit."""
    for sleeping in (True, False):
        monkeypatch.setattr("sim.circuit.alone.asleep", lambda sleeping=sleeping: sleeping)
        for _ in range(20):
            assert alone.are_few(1000, 1)
            assert alone.are_few(1000, 2) is sleeping
            assert alone.is_small(1000) is sleeping
            assert not alone.are_few(1000, 4)
            assert not alone.is_small(4000)
