"""Which fuses an unfused wire stands behind, and what they let through together."""

from collections.abc import Callable

import numpy as np
import pytest
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from layouts import House, house_findings
from layouts.fuses_above import fuses_above, together_a
from sim.report.wording import sentence

HEAD = """\
format: evenfall-house/1
name: Test
drawing: {size: [60, 5]}
runs:
  - {name: eave, pixels: ws2813, path: [[0, 3], [5, 3]], count: 60}
  - {name: side, pixels: ws2813, path: [[5, 3], [9, 3]]}
supplies: [{name: box, volts: 5, amps: 40}]
wires:
"""

Built = Callable[..., House]


@pytest.fixture
def wired(house: Callable[[str], House]) -> Built:
    """A house of one supply and two runs with these wires: "from to size", and a fuse [A]."""

    def made(*wires: str) -> House:
        text = HEAD
        for begin, end, size, *fuse in (wire.split() for wire in wires):
            rated = f", fuse: {fuse[0]}" if fuse else ""
            text += f"  - {{from: '{begin}', to: '{end}', wire: {size} AWG, length: 1{rated}}}\n"
        return house(text)

    return made


def above(house: House, **more: bool) -> dict[str, list[float | None]]:
    return {wire.label: [w.fuse_a for w in fused] for wire, fused in fuses_above(house, **more)}


def test_fuses_beside_each_other_add_up(wired: Built) -> None:
    """By Kirchhoff: 10 A and 10 A into one joint are 20 A out of it, twice what 16 AWG may carry
    (10 A, NEC 240.4(D) [from memory])."""
    two = wired("box joint 14 10", "box joint 14 10", "joint eave.start 16")
    assert above(two) == {"joint → eave.start": [10, 10]}
    (told,) = [each for each in house_findings(two) if each.code == "wire-behind-big-fuse"]
    assert (told.level, told.value, told.limit) == ("warning", 20, 10)
    assert [(each.action, each.value) for each in told.remedies] == [
        ("add-fuse", 10), ("thicker-wire", 20),
    ]  # fmt: skip
    assert sentence(told) == (
        "16 AWG may carry 10 A and stands behind 2 fuses beside each other, 2 × 10 A, which"
        " together let 20 A through (box → joint, box → joint); fuse it for its own size, use a"
        " thicker wire, or part the + so that fewer fuses feed it"
    )


def test_feeds_along_a_run_add_up_behind_its_end(wired: Built) -> None:
    feeds = [f"box eave[{pixel}] 14 7.5" for pixel in (10, 30, 50)]
    assert above(wired(*feeds, "eave.end side.start 16")) == {
        "eave.end → side.start": [7.5, 7.5, 7.5]
    }


def test_what_feeds_the_other_end_does_not_pass_through(wired: Built) -> None:
    """A short at the eave draws 10 A through the wire, one at the joint 7.5 A; never 17.5 A."""
    both = wired("box joint 14 10", "joint eave.start 14", "box eave.end 14 7.5")
    assert above(both) == {"joint → eave.start": [10]}
    assert together_a(fuses_above(both)[0][1]) == 10


def test_a_fuse_behind_the_wire_feeds_nothing(wired: Built) -> None:
    trunk = ("box joint 14 15", "joint tap 14", "tap eave.start 18 5", "tap side.start 18 5")
    assert above(wired(*trunk)) == {"joint → tap": [15]}
    # but where its run is fed from elsewhere too, current comes back through it
    assert above(wired(*trunk, "box eave.end 14 7.5")) == {"joint → tap": [15]}
    assert above(wired("box joint 14 3", *trunk[1:], "box eave.end 14 7.5")) == {"joint → tap": [5]}


def test_of_fuses_in_a_row_the_least_limits(wired: Built) -> None:
    after = ("joint eave.start 14 7.5", "joint eave.end 14 7.5", "eave[30] side.start 16")
    assert above(wired("box joint 12 10", *after)) == {"eave[30] → side.start": [10]}
    assert above(wired("box joint 12 20", *after)) == {"eave[30] → side.start": [7.5, 7.5]}


def test_beside_a_feed_without_a_fuse_there_is_none(wired: Built) -> None:
    bare = wired("box joint 14", "box joint 14 7.5", "joint eave.start 16")
    assert above(bare) == {}
    assert above(bare, with_unfused=True) == {"joint → eave.start": [7.5]}


@pytest.mark.parametrize("seed", range(12))
def test_as_scipy_has_the_greatest_flow(wired: Built, seed: int) -> None:
    """Joints tied at random by fused wires, and a wire to the eave: scipy's maximum_flow."""
    draw = np.random.default_rng(seed)
    names = ["box", "a", "b", "c", "d"]
    capacity = np.zeros((5, 5), dtype=np.int32)
    wires = []
    for one, other in [(0, 1), (1, 2), (2, 3), (3, 4), *draw.integers(0, 5, (6, 2)).tolist()]:
        if one != other:
            fuse = int(draw.integers(1, 16))
            wires.append(f"{names[one]} {names[other]} 14 {fuse}")
            capacity[one, other] += fuse
            capacity[other, one] += fuse
    most = maximum_flow(csr_array(capacity), 0, 4).flow_value
    ((wire, fused),) = fuses_above(wired(*wires, "d eave.start 16"))
    assert wire.label == "d → eave.start"
    assert together_a(fused) == most
