"""Numbers side by side in compiled code, against numpy's arrays."""

import numpy as np
import pytest

from sim.circuit.lanes import (
    LANES,
    anywhere,
    both,
    chosen,
    either,
    every,
    gathered,
    least,
    most,
    octet,
    put,
    row,
    scatter,
    size_of,
    words,
)
from sim.circuit.lanes_across import EIGHT, put_eight, take_eight
from sim.kernels import njit


@njit(cache=False, error_model="numpy")
def _all(a, b, out):
    x, y = row(a, 0), row(b, 0)
    put(out, 0, x + y)
    put(out, 1, x - y)
    put(out, 2, x * y)
    put(out, 3, x / y)
    put(out, 4, 2.0 * x - 1)
    put(out, 5, least(x, y))
    put(out, 6, most(x, y))
    put(out, 7, size_of(x))
    put(out, 8, chosen(x < y, x, every(7.0)))
    put(out, 9, chosen(both(x > 0.0, y >= 0.0), every(1.0), every(0.0)))
    put(out, 10, chosen(either(x <= 0.0, x == y), every(1.0), every(0.0)))
    summed = x
    summed += y
    summed -= 1.0
    summed *= y
    put(out, 11, summed)
    return anywhere(x > 2.0), anywhere(x > 1e9)


def test_every_operation_is_that_of_its_lanes():
    rng = np.random.default_rng(1)
    a, b = rng.normal(size=(2, 3, LANES)) * 3
    b[0, 5] = a[0, 5]
    out = np.zeros((12, LANES))
    some, none = _all(a, b, out)
    x, y = a[0], b[0]
    # numpy's own arithmetic of the same doubles
    expected = [
        *(x + y, x - y, x * y, x / y, 2 * x - 1, np.minimum(x, y), np.maximum(x, y), np.abs(x)),
        *(np.where(x < y, x, 7), (x > 0) & (y >= 0), (x <= 0) | (x == y), (x + y - 1) * y),
    ]
    assert np.array_equal(out, np.array(expected, dtype=float))
    assert some == bool((x > 2).any())
    assert not none


@njit(cache=False, error_model="numpy")
def _moved(code, first, word, out, flat, into):
    put(word, 0, gathered(code, first, 3))
    for c in range(4):
        put(out, c, octet(words(word, 0), c))
    scatter(flat, into, 2, row(out, 1))


def test_words_are_fetched_and_lanes_put_apart():
    rng = np.random.default_rng(2)
    octets = rng.integers(0, 256, (LANES, 8, 4)).astype(np.uint8)
    first = np.arange(LANES)[::-1].copy() * 8
    word = np.zeros((1, LANES), dtype=np.uint32)
    out, flat = np.zeros((4, LANES)), np.zeros(LANES * 5)
    _moved(octets.view("<u4").reshape(-1), first, word, out, flat, np.arange(LANES) * 5)
    assert np.array_equal(out, octets[::-1, 3].T)
    assert np.array_equal(flat.reshape(LANES, 5)[:, 2], out[1])
    assert np.count_nonzero(flat) == np.count_nonzero(out[1])


@njit(cache=False, error_model="numpy")
def _eight(code, first, down, word, rows, flat, into):
    take_eight(code, first, 3, word, EIGHT - 1 if down else 0, -1 if down else 1)
    put_eight(flat, into, 2, rows, EIGHT - 1 if down else 0, -1 if down else 1)


@pytest.mark.parametrize("down", [False, True])
def test_eight_nodes_are_taken_and_stored_at_once(down):
    rng = np.random.default_rng(3)
    code = rng.integers(0, 2**32, (LANES, 12), dtype=np.uint32)
    first = np.arange(LANES)[::-1].copy() * 12
    word, rows = np.zeros((EIGHT, LANES), dtype=np.uint32), rng.normal(size=(EIGHT, LANES))
    flat = np.zeros((LANES, 11))
    _eight(code.reshape(-1), first, down, word, rows, flat.reshape(-1), np.arange(LANES) * 11)
    way = slice(None, None, -1 if down else 1)
    assert np.array_equal(word[way], code[::-1, 3 : 3 + EIGHT].T)
    assert np.array_equal(flat[:, 2 : 2 + EIGHT], rows[way].T)
    assert np.count_nonzero(flat) == rows.size
