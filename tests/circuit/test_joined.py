"""Compiled helpers of the circuit against scipy's."""

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from sim.circuit.joined_kernel import labels, sum_down
from sim.circuit.together import groups


@pytest.mark.parametrize("seed", range(6))
def test_what_hangs_together(seed):
    rng = np.random.default_rng(seed)
    nodes = int(rng.integers(1, 200))
    edge = rng.integers(0, nodes, (int(rng.integers(0, 220)), 2))
    graph = coo_array((np.ones(len(edge)), edge.T), shape=(nodes, nodes))
    theirs = connected_components(graph, directed=False)[1]
    ours = labels(edge, nodes)
    # the same partition, numbered by first nodes
    assert len(set(zip(ours.tolist(), theirs.tolist(), strict=True))) == len(set(theirs.tolist()))
    first = [int(np.flatnonzero(ours == k)[0]) for k in range(int(ours.max()) + 1)]
    assert first == sorted(first)
    assert (groups(edge, nodes, again=True) == ours).all()


def test_sums_along_a_tree():
    parent, order = np.array([0, 1, 1, 3]), np.array([1, 2, 3, 4])
    step = np.array([[1.0, 2.0], [10.0, 20.0], [100.0, 200.0], [1000.0, 2000.0]])
    out = np.zeros((5, 2))
    sum_down(parent, order, step, out)
    assert out[:, 0].tolist() == [0, 1, 11, 101, 1101]
    assert (out[:, 1] == 2 * out[:, 0]).all()
