"""What can break where the + of a run is cut: its −, which runs on there, and its data."""

from __future__ import annotations

from functools import cache

from layouts import house_from
from layouts.sightings import sightings_from_text
from sim.frame import rig
from sim.upkeep.diagnosis import Case, case, diagnose, load_priors

CUT = 10


@cache
def _of() -> Case:
    """A run whose + is cut between two supplies; the − is one, as the data need it to be."""
    run = {"name": "eave", "pixels": "ws2811-12v-group3", "path": [[0, 3], [3, 3]], "count": 30,
           "cuts": [CUT]}  # fmt: skip
    feeds = [{"from": box, "to": to, "wire": "16 AWG", "length": 2, "fuse": 5}
             for box, to in (("left", "eave.start"), ("right", "eave.end"))]  # fmt: skip
    supplies = [{"name": name, "volts": 12, "amps": 10, "source_ohm": 0.005}
                for name in ("left", "right")]  # fmt: skip
    head = {"format": "evenfall-house/1", "name": "Cut", "drawing": {"size": [8, 4]}}
    outputs = [{"name": "A", "chain": ["eave"]}]
    house = house_from(
        {**head, "runs": [run], "supplies": supplies, "wires": feeds, "outputs": outputs}
    )
    return case(rig(house), load_priors())


def test_the_minus_alone_is_left_to_break_at_a_cut() -> None:
    opens = {
        (fault.position, fault.conductor)
        for cause in _of().causes
        for fault in cause.faults
        if (fault.kind, fault.run) == ("open", "eave") and fault.conductor != "data"
    }
    assert (CUT, "minus") in opens
    # 29 steps between 30 pixels and a wire at either end have a −; one step has no +.
    assert opens == {(n, c) for n in range(31) for c in ("plus", "minus")} - {(CUT, "plus")}


def test_a_minus_found_open_at_a_cut_is_the_first_suspect() -> None:
    of = _of()
    text = (
        "format: evenfall-sightings/1\nseen:\n"
        "  - {lit: eave}\n"
        f"  - {{continuity: minus, at: 'eave[{CUT}]', then: open}}\n"
    )
    first = diagnose(of, sightings_from_text(text, "s.yaml", of.rig.house).seen).suspects[0].fault
    assert (first.kind, first.position, first.conductor) == ("open", CUT, "minus")
