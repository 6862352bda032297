"""What is said of fuses that a far short does not open, or a supply cannot open."""

from sim.circuit import build, far_shorts, short_findings
from sim.report.wording import sentence


def test_the_finding_names_the_worst_first(make):
    wires = [
        ("psu", "a.start", "18 AWG", 1.0, 5.0),
        ("psu", "b.start", "18 AWG", 20.0, 5.0),
        ("psu", "c.start", "14 AWG", 0.5, 5.0),
    ]
    runs = {"a": (make.kind(), 200), "b": (make.kind(), 200), "c": (make.kind(), 5)}
    network = build(make.house(runs, [make.supply()], wires))
    (finding,) = short_findings(network, far_shorts(network))
    assert (finding.level, finding.code) == ("warning", "far-short")
    assert finding.where == "psu → b.start, psu → a.start"
    assert "may never open" in sentence(finding)


def test_a_supply_that_gives_up_before_the_fuse(make):
    # 110 % of 20 A is 22 A; a fuse of 15 A needs 30 A for seconds, one of 10 A needs 20 A
    for fuse_a, codes in ((15.0, ["supply-limits-short"]), (10.0, [])):
        wires = [("psu", "a.start", "10 AWG", 0.5, fuse_a)]
        house = make.house({"a": (make.kind(), 5)}, [make.supply(rated_a=20)], wires)
        network = build(house)
        (short,) = far_shorts(network)
        assert short.rated_a == 20
        assert [finding.code for finding in short_findings(network, (short,))] == codes
