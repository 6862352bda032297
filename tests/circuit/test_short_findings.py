"""What is said of fuses that a far short does not open, or a supply cannot open."""

from layouts.finding import Remedy
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


def test_the_fuse_to_take_instead_is_one_that_is_sold(make):
    """Behind 10 A; ATO ratings are 1, 2, 3, 4, 5, 7.5, 10 … A (layouts/catalogue/fuses.yaml).

    110 % of 8.33 A is 9.17 A; twice a rating opens within seconds, so 4.58 A is too much for it and
    4 A the largest sold; at 75 % it carries 3 A. What 9.17 A are of 10 A a fuse holds for good.
    """
    wires = [("psu", "a.start", "10 AWG", 0.5, 10.0)]
    for rated_a, sold_a, feed, never in (
        (8.33, 4, "at most 3 A each", True),
        (16.7, 7.5, "at most 5.62 A each", False),  # 18.4 A: more than 110 % of 10 A
        (1.0, None, "no fuse that is sold", True),
    ):
        house = make.house({"a": (make.kind(), 5)}, [make.supply(rated_a=rated_a)], wires)
        network = build(house)
        (found,) = short_findings(network, far_shorts(network))
        offered = [r.value for r in found.remedies if isinstance(r, Remedy) and r.unit == "A"]
        assert offered == ([] if sold_a is None else [sold_a])
        assert feed in sentence(found)
        if sold_a is not None:
            assert sentence(found).endswith(
                f"a short is up to the supply's own protection: of the fuses sold, one of at most"
                f" {sold_a:g} A would open within seconds; then more feeds, of {feed}"
            )
        assert ("may never open" in sentence(found)) is never
