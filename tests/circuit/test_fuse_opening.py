"""Does the fuse open on a short at the far end?"""

import numpy as np
import pytest

from layouts import fuses
from sim.circuit import build, far_shorts, fuse_opening, short_findings, solve_constant
from sim.circuit.segments import segments
from sim.circuit.short_circuit import amps_in_turn, ports

#: Far too thick to matter, so that a wire's whole resistance is its fuse's.
THICK = 1e-9


def fed_strip(make, volts, loop_ohm, fuse_a, rail_ohm_per_m=1e-9):
    """A short strip whose feed, with its fuse, has this much loop resistance."""
    wire_ohm = loop_ohm - (fuses().cold_ohm(fuse_a) or 0)
    kind = make.kind(rail_ohm_per_m=rail_ohm_per_m)
    wires = [("psu", "a.start", make.wire(wire_ohm / 2), 1.0, fuse_a)]
    return build(make.house({"a": (kind, 60)}, [make.supply(volts=volts)], wires))


@pytest.mark.parametrize(
    ("volts", "amps", "share", "opens"),
    [
        # far short with loop 0.6 Ω behind a 10 A fuse: 12 V: 20 A = 200 %, 0.15-5 s; 5 V: 8.33 A =
        # 83 %, never opens (hand calculation; ATO time-current rows, a maker's data sheet)
        (12, 20.0, 2.0, True),
        (5, 8.333, 0.833, False),
    ],
)
def test_short_through_a_ten_ampere_fuse(make, volts, amps, share, opens):
    network = fed_strip(make, volts, 0.6, 10.0)
    (short,) = far_shorts(network)
    assert short.amps == pytest.approx(amps, abs=5e-4)
    assert short.amps / 10 == pytest.approx(share, abs=5e-4)
    assert short.opens(10.0 - 1e-6) is opens
    codes = [finding.code for finding in short_findings(network, (short,))]
    assert codes == ([] if short.opens(10.0) else ["far-short"])


@pytest.mark.parametrize(
    ("volts", "fuse_a", "most_ohm"),
    # loop R ≤ V/(2·I_n): 5 V/5 A 0.50 Ω, 5 V/10 A 0.25 Ω, 12 V/5 A 1.2 Ω, 12 V/10 A 0.6 Ω (calc.)
    [(5, 5.0, 0.50), (5, 10.0, 0.25), (12, 5.0, 1.2), (12, 10.0, 0.6)],
)
def test_the_loop_a_fuse_can_protect(make, volts, fuse_a, most_ohm):
    for factor, found in ((0.99, 0), (1.01, 1)):
        network = fed_strip(make, volts, most_ohm * factor, fuse_a)
        assert len(short_findings(network, far_shorts(network))) == found


def test_the_far_end_of_a_strip_counts(make):
    # 18 AWG 5 m: 10 m · 20.948 mΩ/m = 0.2095 Ω; strip 100 pixels at 1/60 m, 0.2 Ω/m loop, from
    # start pad to last pixel 99.5 pitches: 0.3317 Ω; fuse of 5 A 17 mΩ (from memory); 5 V
    house = make.house(
        {"a": (make.kind(), 100)}, [make.supply()], [("psu", "a.start", "18 AWG", 5.0, 5.0)]
    )
    (short,) = far_shorts(build(house))
    assert short.amps == pytest.approx(5 / (0.20948 + 0.33167 + 0.017), rel=1e-3)
    assert short.where == "pixel 99 of run a"


def test_the_resistance_inside_the_supply_counts(make):
    wires = [("psu", "a.start", "18 AWG", 5.0, 5.0)]
    amps = [
        far_shorts(build(make.house({"a": (make.kind(), 10)}, [make.supply(ohm=ohm)], wires)))[
            0
        ].amps
        for ohm in (0.0, 0.5)
    ]
    assert 5 / amps[1] - 5 / amps[0] == pytest.approx(0.5)


def test_a_fuse_protects_up_to_the_next_fuse(make):
    """The main wire's worst short is at the joint: the branches have fuses of their own."""
    wires = [
        ("psu", "joint", "12 AWG", 2.0, 15.0),
        ("joint", "a.start", "18 AWG", 3.0, 5.0),
        ("joint", "b.start", "18 AWG", 3.0, 5.0),
    ]
    house = make.house({r: (make.kind(), 60) for r in "ab"}, [make.supply()], wires)
    main, left, right = far_shorts(build(house))
    assert main.where == "junction joint"
    assert (left.where, right.where) == ("pixel 59 of run a", "pixel 59 of run b")
    main_ohm = 2 * 2.0 / (58 * 3.3088) + fuses().cold_ohm(15.0)
    assert main.amps == pytest.approx(5 / main_ohm)
    # a branch's short flows through both fuses
    branch_ohm = 2 * 3.0 / (58 * 0.8230) + fuses().cold_ohm(5.0) + 59.5 / 60 * 0.2
    assert left.amps == pytest.approx(5 / (main_ohm + branch_ohm))


def test_without_its_own_fuse_a_branch_hangs_on_the_fuse_before_it(make):
    wires = [("psu", "joint", "12 AWG", 2.0, 15.0), ("joint", "a.start", "18 AWG", 3.0)]
    house = make.house({"a": (make.kind(), 60)}, [make.supply()], wires)
    main, branch = far_shorts(build(house))
    assert branch is None
    assert main.where == "pixel 59 of run a"


def test_two_feeds_share_a_short_in_the_middle(make):
    """Nowhere does the fuse that opens first carry less: at the ends it is near, or alone with −
    of both to carry back."""
    wires = [("psu", "a.start", "18 AWG", 1.0, 5.0), ("psu", "a.end", "18 AWG", 1.0, 5.0)]
    house = make.house({"a": (make.kind(), 100)}, [make.supply()], wires)
    both = far_shorts(build(house))
    assert [short.where for short in both] == ["pixel 49 of run a", "pixel 50 of run a"]
    # 1 m of 18 AWG 20.95 mΩ a conductor, fuse 17 mΩ (from memory), pitches of 1/60 m at 0.1 Ω/m;
    # 49.5 of them to the near feed, 50.5 to the far one; + beside +, − beside −
    wire_ohm, pitch_ohm = 1 / (58 * 0.8230), 0.1 / 60
    near, far = (wire_ohm + 0.017 + n * pitch_ohm for n in (49.5, 50.5))
    back_near, back_far = (wire_ohm + n * pitch_ohm for n in (49.5, 50.5))
    whole = near * far / (near + far) + back_near * back_far / (back_near + back_far)
    amps = 5 / whole * far / (near + far)
    assert [short.amps for short in both] == pytest.approx([amps, amps])


def test_the_other_feed_of_a_run_opens_in_plus_alone(make):
    """A larger fuse at the far end holds longer; then the near − still carries back."""
    wires = [("psu", "a.start", "18 AWG", 1.0, 20.0), ("psu", "a.end", "18 AWG", 1.0, 2.0)]
    house = make.house({"a": (make.kind(), 100)}, [make.supply()], wires)
    large, _ = far_shorts(build(house))
    assert large.where == "the end of run a"
    # as above; fuse of 20 A 3.2 mΩ (from memory): out through wire, fuse and the whole rail, back
    # through the near wire beside rail and wire
    wire_ohm, rail_ohm = 1 / (58 * 0.8230), 100 / 60 * 0.1
    back_ohm = 1 / (1 / wire_ohm + 1 / (rail_ohm + wire_ohm))
    assert large.amps == pytest.approx(5 / (wire_ohm + 0.0032 + rail_ohm + back_ohm))


def test_a_feed_without_a_fuse_stays_connected(make):
    """The farthest pixel is not where the least flows through the fuse: the far end is."""
    kind = make.kind(rail_ohm_per_m=0.05)
    wires = [("psu", "a.start", "14 AWG", 1.0, 5.0), ("psu", "a.end", "14 AWG", 1.0)]
    short, none = far_shorts(build(make.house({"a": (kind, 300)}, [make.supply()], wires)))
    # Of + the fused way is wire 8.2855 mΩ, fuse 17 mΩ (from memory) and 5 m of rail 0.25 Ω, the
    # other way wire alone; of − rail and wire beside wire. The short carries what both + bring,
    # and they share 5 V less what − loses.
    wire_ohm, rail_ohm = 1 / (58 * 2.0809), 0.25
    fused_ohm = wire_ohm + 0.017 + rail_ohm
    plus_ohm = 1 / (1 / fused_ohm + 1 / wire_ohm)
    minus_ohm = 1 / (1 / (rail_ohm + wire_ohm) + 1 / wire_ohm)
    amps = 5 / (plus_ohm + minus_ohm) * plus_ohm / fused_ohm
    assert short.amps == pytest.approx(amps, rel=1e-4)
    assert (short.where, none) == ("the end of run a", None)


def by_hand(network, wire, place, opened):
    """[A] in the + of a wire with a dead short at a node, by solving both conductors' equations."""
    net, g = network.topology, network.values
    size = net.nodes
    # + of node k is k, its − is size + k; rows are Kirchhoff's law, then sources and the short.
    # Nodes that are left alone have 1 pS to 0 V, so that there is one answer.
    rows, right = np.diag(np.full(2 * size, 1e-12)), np.zeros(2 * size)
    for e, (a, b) in enumerate(net.edge[: net.first_source]):
        for at, siemens in ((0, 0.0 if e in opened else g.plus_s[e]), (size, g.minus_s[e])):
            rows[[at + a, at + b, at + a, at + b], [at + a, at + b, at + b, at + a]] += (
                siemens, siemens, -siemens, -siemens,
            )  # fmt: skip
    more, given = [], []

    def branch(node, volts, ohm):
        """A source behind a resistance between + and − of a node: its current is an unknown."""
        row = np.zeros(2 * size + len(more) + 1)
        row[[node, size + node, -1]] = 1, -1, ohm
        more.append(row)
        given.append(volts)

    for k, volts in enumerate(g.source_v):
        inside = net.edge[net.first_source :][net.source_of == k]
        if len(inside):
            branch(inside[0, 1], volts, network.house.supplies[k].source_ohm)
        else:
            branch(net.free + k, volts, 0.0)
    branch(place, 0.0, 0.0)
    whole = np.zeros((2 * size + len(more),) * 2)
    whole[: 2 * size, : 2 * size] = rows
    for i, row in enumerate(more, start=2 * size):
        whole[i, : 2 * size] = row[: 2 * size]
        whole[i, i] = row[-1]
        # what the branch takes out of + it gives to −, the other way round
        whole[: 2 * size, i] = -row[: 2 * size]
    right = np.concatenate([right, given])
    found = np.linalg.solve(whole, right)
    e = network.wire_edge[wire]
    a, b = net.edge[e]
    return (found[a] - found[b]) * g.plus_s[e]


@pytest.mark.parametrize("ohm", [0.0, 0.02])
def test_fuses_that_share_a_short_have_their_turns(make, ohm):
    """Every place tried one by one, the fuses opened by hand: the most loaded first."""
    wires = [
        ("psu", "j", "14 AWG", 2.0),
        ("j", "a[5]", "16 AWG", 1.0, 7.5),
        ("j", "a[30]", "16 AWG", 2.0, 5.0),
        ("psu", "a.end", "18 AWG", 1.0, 5.0),
    ]
    kind = make.kind(rail_ohm_per_m=0.2)
    network = build(make.house({"a": (kind, 50)}, [make.supply(ohm=ohm)], wires))
    least = {1: np.inf, 2: np.inf, 3: np.inf}
    for place in (*range(50), 50 + [*network.topology.beside].index("the end of run a")):
        left = dict.fromkeys(least)
        while left:
            opened = {network.wire_edge[w] for w in least if w not in left}
            amps = {w: by_hand(network, w, place, opened) for w in left}
            first = max(left, key=lambda w: abs(amps[w]) / house_fuse_a(network, w))
            least[first] = min(least[first], amps[first])
            del left[first]
    shorts = far_shorts(network)
    assert shorts[0] is None
    assert [short.amps for short in shorts[1:]] == pytest.approx([*least.values()])


def house_fuse_a(network, wire):
    """Its rating."""
    return network.house.wires[wire].fuse_a


def test_the_worst_place_in_a_loop_is_inside_it(make):
    """A ring hangs on one fuse: the farthest point is half way round, with R/4 behind it."""
    kind = make.kind()
    wires = [("psu", "a.start", "18 AWG", 1.0, 5.0), ("a.start", "a.end", "18 AWG", 1e-6)]
    (short, _) = far_shorts(build(make.house({"a": (kind, 100)}, [make.supply()], wires)))
    assert short.where in ("pixel 49 of run a", "pixel 50 of run a")
    ring_ohm = 100 / 60 * 0.2 / 4
    wire_ohm = 2 / (58 * 0.8230) + 0.017
    assert short.amps == pytest.approx(5 / (wire_ohm + ring_ohm), rel=1e-3)


def test_a_fuse_between_two_ends_of_the_same_part_sees_what_goes_that_way(make):
    """A wire with two fuses from the fed end of a run to its starved end."""
    wires = [
        ("psu", "a.start", "14 AWG", 1.0, 10.0),
        ("a.start", "joint", "14 AWG", 1.0, 5.0),
        ("joint", "a.end", "14 AWG", 1.0, 5.0),
    ]
    house = make.house({"a": (make.kind(), 60)}, [make.supply()], wires)
    feed, out, back = far_shorts(build(house))
    assert feed.where.endswith("of run a")
    assert out.where == "junction joint"
    # both carry the same wherever the short is
    assert back.amps <= out.amps
    assert back.rated_a == 60


def test_a_fuse_counts_only_what_comes_through_it_from_the_supply(make):
    """Between two feeds, current goes through a fuse one way or the other, as the short lies."""
    wires = [
        ("psu", "a.start", "14 AWG", 0.5, 30.0),
        ("a.end", "b.start", "14 AWG", 0.5, 3.0),
        ("psu", "b.end", "18 AWG", 20.0, 30.0),
    ]
    kind = make.kind(rail_ohm_per_m=0.5)
    network = build(make.house({"a": (kind, 8), "b": (kind, 40)}, [make.supply()], wires))
    # It feeds b: the far feed sags.
    assert solve_constant(network, np.full(48, 0.02)).wire_a[0, 1] > 0
    found = far_shorts(network)[1]
    pads = [*network.topology.beside]
    places = (*range(8, 48), *(48 + pads.index(f"the {e} of run b") for e in ("start", "end")))
    least = np.inf
    for place in places:
        left = {1: 3.0, 2: 30.0}
        while left:
            opened = {network.wire_edge[w] for w in (1, 2) if w not in left}
            amps = {w: by_hand(network, w, place, opened) for w in left}
            first = max(left, key=lambda w: abs(amps[w]) / left[w])
            if first == 1 and amps[1] > 1e-6:
                least = min(least, amps[1])
            del left[first]
    assert found.amps == pytest.approx(least)
    assert found.where.endswith("of run b")


def test_no_fuse_no_short(make):
    house = make.house(
        {"a": (make.kind(), 10)}, [make.supply()], [("psu", "a.start", "18 AWG", 1.0)]
    )
    assert far_shorts(build(house)) == (None,)
    bare = make.house({"a": (make.kind(), 10)}, [], [])
    assert far_shorts(build(bare)) == ()


def test_many_feeds_one_place_after_another(make, monkeypatch):
    """A dozen feeds: each place is as by hand, whichever places come before it and in however
    small pieces they are worked on; and it is told how far the work is."""
    rng = np.random.default_rng(4)
    ratings_a = rng.choice([3.0, 5.0, 7.5], 12)
    wires = [
        ("psu", f"a[{3 * k + 1}]", "18 AWG", float(rng.uniform(0.5, 6)), float(rating_a))
        for k, rating_a in enumerate(ratings_a)
    ]
    house = make.house({"a": (make.kind(rail_ohm_per_m=2.0), 40)}, [make.supply(ohm=0.01)], wires)
    network = build(house)
    small, edges = segments(network), network.wire_edge
    feeds = small.of_edge[edges], small.number[network.edge[edges]]
    amps = amps_in_turn(ports(small, *feeds, np.arange(40)), ratings_a)
    mixed = rng.permutation(40)
    assert amps_in_turn(ports(small, *feeds, mixed), ratings_a) == pytest.approx(
        amps[:, mixed], rel=1e-9
    )
    for place in (0, 17, 39):
        as_by_hand(network, ratings_a, amps, place)

    told = []
    whole = far_shorts(network, lambda *at: told.append(at))
    assert told == [(12 * 40, 12 * 40)]
    monkeypatch.setattr(fuse_opening, "_MOST_NUMBERS", 1)
    monkeypatch.setattr(fuse_opening, "_FEWEST", 7)
    in_pieces = far_shorts(build(house), lambda *at: told.append(at))
    assert [short.where for short in in_pieces] == [short.where for short in whole]
    assert [short.amps for short in in_pieces] == pytest.approx([short.amps for short in whole])
    assert told[1:] == [(12 * done, 12 * 40) for done in (7, 14, 21, 28, 35, 40)]


def as_by_hand(network, ratings_a, amps, place):
    """Each fuse's amperes at a place, all wires fused, with the fuses opened by hand."""
    left = list(range(len(ratings_a)))
    while left:
        opened = {network.wire_edge[w] for w in range(len(ratings_a)) if w not in left}
        flow = {w: by_hand(network, w, place, opened) for w in left}
        first = max(left, key=lambda w: abs(flow[w]) / ratings_a[w])
        assert amps[first, place] == pytest.approx(flow[first], rel=1e-6)
        left.remove(first)


def test_feeds_too_far_apart_to_tell_each_other_anything(make):
    """A thin rail: what is done to a feed is nothing to those at the other end, until all between
    have opened. Then their turns come, each as by hand."""
    rng = np.random.default_rng(5)
    ratings_a = rng.choice([3.0, 5.0], 16)
    wires = [
        ("psu", f"a[{2 * k}]", "18 AWG", float(rng.uniform(0.5, 3)), float(rating_a))
        for k, rating_a in enumerate(ratings_a)
    ]
    house = make.house({"a": (make.kind(rail_ohm_per_m=60.0), 32)}, [make.supply()], wires)
    network = build(house)
    small, edges = segments(network), network.wire_edge
    found = ports(small, small.of_edge[edges], small.number[network.edge[edges]], np.arange(32))
    coupled = np.abs(found.feed_ohm) / found.feed_ohm.diagonal()
    assert coupled[0, -1] < 1e-15
    amps = amps_in_turn(found, ratings_a)
    for place in (1, 14):
        assert (amps[:, place] > 0).all()
        as_by_hand(network, ratings_a, amps, place)
