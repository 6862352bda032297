"""What hangs together and what is reached first, against scipy's graphs."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import coo_array
from scipy.sparse.csgraph import breadth_first_order, connected_components

from layouts import load_house
from sim.circuit import build, together
from sim.circuit import segments as segments_file
from sim.circuit.together import breadth_first, groups

COTTAGE = Path(__file__).resolve().parents[2] / "demo" / "cottage" / "house.yaml"
NODES = 9
EDGES = st.lists(st.tuples(*[st.integers(0, NODES - 1)] * 2), max_size=14)


def graph_of(edge: np.ndarray) -> coo_array:
    return coo_array((np.ones(len(edge)), edge.T), shape=(NODES, NODES))


@given(EDGES)
def test_groups_are_numbered_as_the_library_numbers_them(edges: list[tuple[int, int]]) -> None:
    edge = np.array(edges, dtype=np.int64).reshape(-1, 2)
    expected = connected_components(graph_of(edge), directed=False)[1]
    assert groups(edge, NODES).tolist() == expected.tolist()


@given(EDGES, st.integers(0, NODES - 1))
def test_nodes_are_reached_in_the_order_of_the_library(
    edges: list[tuple[int, int]], start: int
) -> None:
    edge = np.array(edges, dtype=np.int64).reshape(-1, 2)
    order, before = breadth_first_order(graph_of(edge).tocsr(), start, directed=False)
    found = breadth_first(edge, NODES, start)
    assert found[0].tolist() == order.tolist()
    assert found[1].tolist() == np.where(before < 0, -1, before).tolist()


def test_many_are_handed_to_the_library(monkeypatch: pytest.MonkeyPatch) -> None:
    rng = np.random.default_rng(5)
    edge = rng.integers(0, 60, (50, 2))
    few = groups(edge, 60), breadth_first(edge, 60, 7)
    monkeypatch.setattr(together, "_FEW", 0)
    many = groups(edge, 60), breadth_first(edge, 60, 7)
    assert few[0].tolist() == many[0].tolist()
    assert [each.tolist() for each in few[1]] == [each.tolist() for each in many[1]]


def test_few_segments_are_solved_as_many(monkeypatch: pytest.MonkeyPatch) -> None:
    network = build(load_house(COTTAGE))
    few = segments_file.segments(network)
    assert isinstance(few.solved, segments_file.Dense)
    plus_v, minus_v = few.open_v
    monkeypatch.setattr(segments_file, "_FEW", 0)
    many = segments_file.segments(network)
    assert not isinstance(many.solved, segments_file.Dense)
    # both solve the same equations: rounding of numbers about 12 is all that may differ
    np.testing.assert_allclose(plus_v, many.open_v[0], rtol=0, atol=1e-12)
    np.testing.assert_allclose(minus_v, many.open_v[1], rtol=0, atol=1e-12)
