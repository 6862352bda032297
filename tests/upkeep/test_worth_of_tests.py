"""What a next test is said to be worth, what it needs, and what of a fault is said plainly."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from effects import bind
from effects.load import scheme_from_text
from layouts import house_from
from layouts.faults import Fault
from layouts.sightings import sightings_from_text
from sim.frame import rig, rig_for
from sim.report.blocks import Block
from sim.report.diagnosis import diagnosis_blocks
from sim.report.fault import fault_blocks, fault_report
from sim.report.wording import sentence
from sim.report.wording.diagnosis import needs_label, worth_label
from sim.upkeep import broken, frame_of_broken
from sim.upkeep.broken_findings import joint_heat
from sim.upkeep.diagnosis import Case, Diagnosis, bayes, case, diagnose, load_priors
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.records import NextTest
from sim.upkeep.diagnosis.shown import still

#: [Ω] of a bad joint of both conductors.
OHM = 0.8
FUSED = "right → porch.start"


@cache
def _small() -> Case:
    """Two runs; the first has two feeds, and its + is cut nearer to the first of them."""
    runs = [{"name": name, "pixels": "ws2811-12v-group3", "path": [[0, y], [3, y]], "count": 30}
            for name, y in (("eave", 3), ("porch", 2))]  # fmt: skip
    feeds = [
        {"from": box, "to": to, "wire": "16 AWG", "length": 2, "fuse": 5}
        for box, to in (("left", "eave.start"), ("left", "eave.end"), ("right", "porch.start"))
    ]
    supplies = [{"name": name, "volts": 12, "amps": 10, "source_ohm": 0.005}
                for name in ("left", "right")]  # fmt: skip
    head = {"format": "evenfall-house/1", "name": "Two", "drawing": {"size": [8, 4]}}
    runs[0]["cuts"] = [10]
    return case(
        rig(house_from({**head, "runs": runs, "supplies": supplies, "wires": feeds})), load_priors()
    )


def _found(*lines: str, costs: Mapping[str, float] | None = None) -> Diagnosis:
    text = "format: evenfall-sightings/1\nseen:\n" + "".join(f"  - {line}\n" for line in lines)
    of = _small()
    priors = replace(of.priors, costs={**of.priors.costs, **(costs or {})})
    seen = sightings_from_text(text, "s.yaml", of.rig.house).seen
    return diagnose(replace(of, priors=priors), seen)


def test_degrees_of_one_thing_are_no_news() -> None:
    """By hand: four alike, a test that tells all apart has 2 bits; of two pairs of them, 1 bit."""
    p, given = np.full(4, 0.25), np.eye(4)
    assert bayes.gain_bits(p, given) == pytest.approx(2.0)
    whole, mixed = bayes.of_groups(p, given, np.array([0, 0, 1, 1]))
    assert whole == pytest.approx([0.5, 0.5])
    assert bayes.gain_bits(whole, mixed) == pytest.approx(1.0)
    assert bayes.entropy_bits(whole) == pytest.approx(1.0)


@pytest.mark.parametrize(
    "lines",
    [
        ("{wrong: 'eave[12:30]', during: white}", "{volts: 9.5, at: 'eave[20]'}"),
        ("{wrong: porch}", "{volts: 9.5, at: 'porch.start'}"),
        (
            "{dark: porch}",
            f"{{fuse: '{FUSED}', then: blown}}",
            f"{{new_fuse: '{FUSED}', then: blows}}",
        ),
    ],
)
def test_no_test_is_worth_more_than_is_open(lines: tuple[str, ...]) -> None:
    # The information that a test gives about X is at most H(X) (Shannon 1948).
    found = _found(*lines)
    assert found.next is not None
    assert found.next.gain_bits <= found.entropy_bits
    assert found.most_bits <= found.entropy_bits


def test_its_worth_and_what_it_needs_are_said_in_words() -> None:
    test = NextTest("ohms", "eave.start", "scheme", 39.0, 2.06, ())
    assert worth_label(test, 3.72) == (
        "worth 2.1 yes-or-no answers, on average, of the 3.7 that it takes to know which it is;"
        " about 39 min"
    )
    assert "bench supply" in needs_label(test)
    assert needs_label(replace(test, test="look")) == "needs nothing but eyes"
    for other in ("volts", "continuity"):
        assert needs_label(replace(test, test=other)) == "needs a multimeter"


def test_of_nearly_equal_tests_that_without_a_special_meter_is_asked_for() -> None:
    """Watts that tell 5 % more a minute are left for what few tools do; 20 % more are not."""
    lines = ("{dark: eave}", "{lit: porch}")
    plain = _found(*lines).next
    assert plain is not None
    assert plain.test in ("look", "fuse", "swap", "volts", "continuity")
    dear = {key: 5000.0 for key in _small().priors.costs if key not in ("trip", "watts")}
    meter = _found(*lines, costs=dear).next
    assert meter is not None
    assert meter.test == "watts"
    for more, asked in ((1.05, plain.test), (1.2, "watts")):
        worth = more * plain.gain_bits / plain.cost
        trip = _small().priors.costs["trip"]
        cost = meter.gain_bits / worth - trip
        found = _found(*lines, costs={"watts": cost}).next
        assert found is not None
        assert found.test == asked


def test_a_joint_of_both_conductors_has_the_heat_of_both() -> None:
    """By hand: I² R of each, and their sum; the currents are those of the wire."""
    made = _small().rig
    codes = np.full((1, len(made.house.pixels), 4), 255, dtype=np.uint8)
    frame = frame_of_broken(broken(made, [Fault("joint", wire=1, ohm=OHM)]), codes)
    plus_a, minus_a = (abs(float(each[0, 1])) for each in
                       (frame.solution.wire_a, frame.solution.wire_minus_a))  # fmt: skip
    assert abs(plus_a - minus_a) > 0.05
    (told,) = joint_heat(frame)
    assert told.value == pytest.approx(OHM * (plus_a**2 + minus_a**2), rel=1e-6)
    assert told.detail["plus_w"] == pytest.approx(OHM * plus_a**2, rel=1e-6)
    assert told.detail["minus_w"] == pytest.approx(OHM * minus_a**2, rel=1e-6)
    # 3.13² × 0.35 = 3.43 and 2.07² × 0.35 = 1.50: together 4.93.
    detail = {"ohm": 0.35, "plus_a": 3.13, "minus_a": 2.07, "plus_w": 3.43, "minus_w": 1.50}
    assert sentence(replace(told, value=4.93, detail=detail, where="loft → gable[47]")) == (
        "loft → gable[47]: 4.93 W turn to heat in it, 3.43 W in + (0.350 Ω at 3.13 A) and 1.50 W in"
        " − (0.350 Ω at 2.07 A), which can char a joint; make it anew"
    )
    one = frame_of_broken(broken(made, [Fault("joint", wire=1, conductor="plus", ohm=1.0)]), codes)
    (told,) = joint_heat(one)
    assert "minus_w" not in told.detail
    assert told.value == pytest.approx(told.detail["plus_a"] ** 2)


def test_a_diagnosis_tells_the_heat_of_the_joint_that_it_suspects() -> None:
    """The same sentence as of a fault, beside the repair."""
    made = _small().rig
    full = still(made.house, np.full((len(made.house.pixels), 4), 255, dtype=np.uint8))
    of = case(made, _small().priors, full)
    hot = of.hot(Breakage("joint-wire", (Fault("joint", wire=1, ohm=OHM),), 1.0))
    assert [each.where for each in hot] == [made.house.wires[1].label]
    assert of.hot(Breakage("dead", (Fault("dead", "eave", 3),), 1.0)) == ()
    found = replace(_found("{dark: eave}", "{lit: porch}"), hot=hot)
    told = "".join(_texts(list(diagnosis_blocks(found, made.house, "none"))))
    assert sentence(hot[0]) in told
    assert " W in + (0.800 Ω at " in told


def test_what_is_dark_is_said_among_the_findings() -> None:
    """Of 30 pixels of the porch, whose only fuse has opened."""
    house = _small().rig.house
    text = "format: evenfall-scheme/1\nname: White\nbrightness: 0.2\nlayers:\n"
    text += "  - {zones: all, effect: steady, palette: ['#ffffff']}\n"
    scheme = scheme_from_text(text, "w.scheme.yaml", house)
    report = fault_report(rig_for(house, scheme), bind(house, scheme), [Fault("blown", wire=2)])
    assert report.findings == ()
    told = "".join(_texts(list(fault_blocks(report))))
    assert "30 pixels are dark, as above; nothing else is found" in told


def _texts(block: object) -> list[str]:
    """Every text anywhere in some blocks."""
    if isinstance(block, str):
        return [block]
    if isinstance(block, list | tuple):
        return [text for each in block for text in _texts(each)]
    if isinstance(block, Block) or hasattr(block, "__dataclass_fields__"):
        return [text for each in vars(block).values() for text in _texts(each)]
    return []
