"""Every kind of fault in plain words, and sentences of what a broken house does."""

import pytest

from layouts import house_from
from layouts.faults import KINDS, Fault
from layouts.finding import Finding
from sim.report.wording import fault_label, sentence


@pytest.fixture(scope="module")
def house():
    return house_from(
        {
            "name": "one run",
            "drawing": {"size": [10, 5]},
            "runs": [{"name": "gable", "pixels": "ws2812b", "path": [[0, 1], [2, 1]]}],
            "supplies": [{"name": "loft", "volts": 5, "amps": 10}],
            "wires": [
                {"from": "loft", "to": "gable[70]", "wire": "18 AWG", "length": 1, "fuse": 5}
            ],
        }
    )


SAID = [
    (Fault("dark", "gable", 3), "pixel 3 of gable gives no light and passes data on"),
    (Fault("dead", "gable", 3), "pixel 3 of gable is dead"),
    (Fault("stuck", "gable", 3, colour=(255, 0, 16)), "pixel 3 of gable is stuck at #ff0010"),
    (Fault("open", "gable", 40, "minus"), "− is open before pixel 40 of gable"),
    (Fault("open", "gable", 0, "data"), "data is open at the start of gable"),
    (Fault("open", "gable", 120, "plus"), "+ is open at the end of gable"),
    (Fault("open", wire=0, conductor="plus"), "+ is open in wire loft → gable[70]"),
    (
        Fault("joint", "gable", 40, ohm=0.3),
        "a bad joint of + and −, 0.300 Ω each, before pixel 40 of gable",
    ),
    (
        Fault("joint", wire=0, conductor="minus", ohm=2.0),
        "a bad joint of − of 2.00 Ω in wire loft → gable[70]",
    ),
    (Fault("short", "gable", 4, ohm=0.05), "+ and − touch at pixel 4 of gable (0.050 Ω)"),
    (Fault("blown", wire=0), "the fuse of wire loft → gable[70] has opened"),
    (Fault("off", supply="loft"), "supply loft gives nothing"),
    (Fault("sag", supply="loft", volts=4.2), "supply loft gives only 4.2 V"),
    (Fault("hiccup", supply="loft"), "supply loft goes off and on: 0.1 s on, 0.9 s off"),
    (Fault("garbage", "gable", 7), "data is garbled from pixel 7 of gable on"),
]


@pytest.mark.parametrize(("fault", "said"), SAID, ids=lambda each: getattr(each, "kind", ""))
def test_a_fault_in_words(house, fault: Fault, said: str) -> None:
    assert fault_label(fault, house) == said


def test_every_kind_is_said() -> None:
    assert {fault.kind for fault, _ in SAID} == set(KINDS)


def test_a_fuse_that_opens() -> None:
    found = Finding("danger", "fuse-opens", "loft → gable[70]", limit=7.5, unit="A")
    assert "the fuse of 7.5 A in wire loft → gable[70] opens" in sentence(found)
