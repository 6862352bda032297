"""The elimination order, against a dense solve."""

import numpy as np
import pytest

from sim.circuit.alone_kernel import factor_alone
from sim.circuit.elimination import LANES, Pattern, factor, substitute
from sim.circuit.order import eliminations


def random_graph(nodes: int, extra: int, seed: int) -> tuple[np.ndarray, np.ndarray]:
    """A random tree over all nodes with `extra` more edges, and a source edge at node 0."""
    rng = np.random.default_rng(seed)
    tree = [(k, int(rng.integers(0, k))) for k in range(1, nodes)]
    more = [tuple(rng.choice(nodes, 2, replace=False)) for _ in range(extra)]
    edge = np.array([*tree, *more, (0, nodes)], dtype=np.int64)
    return edge, rng.uniform(0.1, 10, len(edge))


def dense(edge: np.ndarray, edge_s: np.ndarray, nodes: int) -> np.ndarray:
    """The conductances between free nodes, written out."""
    matrix = np.zeros((nodes + 1, nodes + 1))
    for (a, b), s in zip(edge, edge_s, strict=True):
        matrix[a, a] += s
        matrix[b, b] += s
        matrix[a, b] -= s
        matrix[b, a] -= s
    return matrix[:nodes, :nodes]


def solved(edge: np.ndarray, edge_s: np.ndarray, extra_s: np.ndarray, wanted: np.ndarray):
    """x of (network + extra_s on the diagonal)·x = wanted, by node; with lanes and without."""
    nodes = len(wanted)
    inner = edge[(edge < nodes).all(axis=1)]
    inner_s = edge_s[(edge < nodes).all(axis=1)]
    (made,), entry_of = eliminations(inner, np.ones(nodes, dtype=bool))
    entry_s = np.bincount(entry_of, -inner_s, len(made.row))
    diagonal_s = np.diag(dense(edge, edge_s, nodes)) + extra_s
    pattern = Pattern(
        *(made.node, made.column, made.row, made.product, made.target),
        *(diagonal_s[made.node], entry_s, np.zeros(nodes)),
    )
    diagonal, x = (np.repeat(part[made.node, None], LANES, axis=1) for part in (diagonal_s, wanted))
    entry = np.empty((len(made.row), LANES))
    factor(pattern, diagonal, entry)
    substitute(pattern, diagonal, entry, x)
    alone, one = pattern.diagonal_s.copy(), entry_s.copy()
    factor_alone(pattern, alone, one)
    assert alone == pytest.approx(diagonal[:, 0], rel=1e-12)
    assert one == pytest.approx(entry[:, 0], rel=1e-12)
    out = np.empty(nodes)
    out[made.node] = x[:, 0]
    return out


@pytest.mark.parametrize(("nodes", "extra"), [(1, 0), (2, 1), (30, 0), (30, 1), (30, 4), (40, 60)])
def test_elimination_solves_the_network(nodes, extra):
    for seed in range(5):
        edge, edge_s = random_graph(nodes, extra, seed)
        rng = np.random.default_rng(seed)
        extra_s, wanted = rng.uniform(0, 1, nodes), rng.normal(size=nodes)
        # numpy's dense LU as the other solver
        expected = np.linalg.solve(dense(edge, edge_s, nodes) + np.diag(extra_s), wanted)
        assert solved(edge, edge_s, extra_s, wanted) == pytest.approx(expected, rel=1e-9, abs=1e-12)


def test_a_tree_fills_in_nothing_and_a_loop_one_number_a_node():
    edge, _ = random_graph(500, 0, 1)
    (made,), _ = eliminations(edge[:-1], np.ones(500, dtype=bool))
    assert len(made.row) == 499
    ring = np.array([(k, (k + 1) % 500) for k in range(500)])
    (made,), _ = eliminations(ring, np.ones(500, dtype=bool))
    assert len(made.row) <= 2 * 500


def test_separate_parts_have_separate_plans():
    unknown = np.array([True, True, True, True, False])
    made, entry = eliminations(np.array([(0, 2), (1, 3)]), unknown)
    assert [set(part.node) for part in made] == [{0, 2}, {1, 3}]
    assert sorted(entry) == [0, 1]
