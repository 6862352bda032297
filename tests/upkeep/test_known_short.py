"""Once a new fuse has blown: what a meter shows at the short, and what is still asked for."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import numpy as np

from layouts import house_from
from layouts.faults import Fault
from layouts.sightings import Sighting, sightings_from_text
from sim.frame import rig
from sim.report.wording.diagnosis import test_label as label
from sim.upkeep import broken
from sim.upkeep.diagnosis import Case, Diagnosis, case, diagnose, load_priors
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.exact import exactly, frame_shown
from sim.upkeep.diagnosis.left_out import POWERED, left_out
from sim.upkeep.diagnosis.records import NextTest, Outcome

SHORT = 20  # position where + and − touch, behind the cut
FUSED = "box → eave.end"


@cache
def _of(cut: bool = True) -> Case:
    """A run fed at both ends by one supply, its + cut between its pixels 9 and 10."""
    run = {"name": "eave", "pixels": "ws2811-12v-group3", "path": [[0, 3], [3, 3]], "count": 30,
           **({"cuts": [10]} if cut else {})}  # fmt: skip
    feeds = [{"from": "box", "to": to, "wire": "16 AWG", "length": 2, "fuse": 5}
             for to in ("eave.start", "eave.end")]  # fmt: skip
    supply = {"name": "box", "volts": 12, "amps": 10, "source_ohm": 0.005}
    head = {"format": "evenfall-house/1", "name": "One", "drawing": {"size": [8, 4]}}
    house = house_from({**head, "runs": [run], "supplies": [supply], "wires": feeds})
    return case(rig(house), load_priors())


def _seen(of: Case, *lines: str) -> tuple[Sighting, ...]:
    text = "format: evenfall-sightings/1\nseen:\n" + "".join(f"  - {line}\n" for line in lines)
    return sightings_from_text(text, "s.yaml", of.rig.house).seen


def _found(of: Case, *lines: str, costs: Mapping[str, float]) -> Diagnosis:
    priors = replace(of.priors, costs={**of.priors.costs, **costs})
    return diagnose(replace(of, priors=priors), _seen(of, *lines))


def test_a_dead_plus_that_touches_the_minus_reads_its_volts() -> None:
    """By hand, Ohm: the + of pixels 10 to 29 hangs on the − at 20 alone, and carries nothing.

    The current that pixels 0 to 9 return by the end runs through the − there, the same in each
    step: what a meter shows at a pixel is as many steps of its drop as it is away from pixel 20,
    below 0 before it and above 0 behind. How much returns by the end is what divides at two
    resistances: a pixel's current goes to either end by the resistance of − to the other.
    """
    of = _of()
    net, house = of.rig.network, of.rig.house
    faults = (Fault("short", "eave", SHORT, ohm=0.02),)
    sent = of.sent["white"]
    frame, _ = frame_shown(broken(of.rig, faults), sent)
    assert tuple(frame.opened) == (1,)
    amps = frame.solution.amps[0]
    assert amps[10:].max() == 0 < amps[:10].min()
    # − alone of each edge, start wire first; the supply's own resistance is common to both.
    ohm = 1 / net.values.minus_s[: net.first_source_edge]
    along = [int(e) for e in np.flatnonzero((net.edge[: len(ohm)] < 30).all(axis=1))]
    assert len(along) == 29
    rails = np.zeros(29)
    for e in along:
        rails[net.edge[e].min()] = ohm[e]
    pads = {int(min(ab)): e for e, ab in enumerate(net.edge[: len(ohm)]) if min(ab) in (0, 29)
            and max(ab) >= 30}  # fmt: skip
    left = ohm[net.wire_edge[0]] + ohm[pads[0]]
    right = ohm[net.wire_edge[1]] + ohm[pads[29]]
    whole = left + rails.sum() + right
    end_a = sum(amps[k] * (left + rails[:k].sum()) / whole for k in range(10))
    usual = np.ones((30, len(house.channels)))
    there = exactly(of.rig, faults, sent, usual, net.nodes)
    assert there is not None
    by_hand = [-end_a * rails[k:SHORT].sum() for k in range(10, SHORT + 1)]
    by_hand += [end_a * rails[SHORT:k].sum() for k in range(SHORT + 1, 30)]
    assert by_hand[0] < -2e-3
    np.testing.assert_allclose(there.node_v[10:30], by_hand, atol=1e-6)
    quick = of.exact_of([Breakage("short", faults, 1.0)], "white", 0)
    np.testing.assert_allclose(quick.node_v[0, 10:30], by_hand, atol=5e-5)


BLOWS = ("{dark: 'eave[10:30]'}", f"{{fuse: '{FUSED}', then: blown}}",
         f"{{new_fuse: '{FUSED}', then: blows}}")  # fmt: skip
#: [min] that keep anybody from every test with things unplugged.
DEAR = {key: 5000.0 for key in ("unplug", "bench-supply", "continuity-wire", "continuity-pixel")}


def test_power_comes_on_with_the_fuse_left_out_alone() -> None:
    found = _found(_of(), *BLOWS, costs=DEAR)
    assert found.next is not None
    assert found.next.test in POWERED
    assert found.next.fuses_out == (FUSED,)
    assert f"; leave the fuse of wire {FUSED} out: no new one" in label(found.next)
    usual = _found(_of(), *BLOWS, costs={"unplug": 0.0, "bench-supply": 0.0})
    assert usual.next is not None
    assert usual.next.test == "ohms"
    assert "leave the fuse" not in label(usual.next)


def test_what_another_feed_powers_too_is_only_measured_unplugged() -> None:
    """Without the cut the other feed would go on feeding the short."""
    found = _found(_of(cut=False), *BLOWS, costs=DEAR)
    assert found.next is None or found.next.test not in POWERED


def test_which_fuses_stay_out() -> None:
    of, other = _of(cut=False), "box → eave.start"
    house = of.rig.house
    out = left_out(house, _seen(of, BLOWS[1]))
    assert (out.opened, out.shorted, out.stays_out("look")) == ((1,), (), (1,))
    assert out.safe("look")
    assert out.stays_out("ohms") == ()
    out = left_out(house, _seen(of, *BLOWS))
    assert (out.opened, out.shorted) == ((1,), (1,))
    assert [out.safe(test) for test in ("look", "volts", "ohms", "fuse")] == [
        False,
        False,
        True,
        True,
    ]
    # The other fuse has opened as well: nothing feeds the short, until that gets a new one.
    both = left_out(house, _seen(of, *BLOWS, f"{{fuse: '{other}', then: blown}}"))
    assert both.stays_out("look") == (1, 0)
    assert both.safe("look")
    assert not both.safe("new_fuse", 0)
    assert left_out(house, _seen(of, *BLOWS, f"{{new_fuse: '{FUSED}', then: holds}}")).opened == ()


def test_a_minus_sign_is_explained() -> None:
    asked = NextTest("volts", "eave[12]", "white", 1.0, 1.0, (Outcome("-0.12 V to -0.06 V", 1.0),))
    assert "red probe on +, black on −: below 0 the + there is dead" in label(asked)
    above = replace(asked, outcomes=(Outcome("0.06 V", 1.0),))
    assert "red probe" not in label(above)
