"""Eight rows at once, turned from a row a node to a line a frame and back; compiled code alone.

Frames lie one after the other in memory, and the nodes of a run beside each other in a frame. To
take or store one node of LANES frames touches LANES places far apart; eight nodes touch the same
places, each as one vector. Between the two lies a transposition in registers.
"""
# mypy: disable-error-code="no-untyped-def,no-untyped-call"

from __future__ import annotations

from typing import Any

from llvmlite import ir  # type: ignore[import-untyped]
from numba.core import cgutils, types
from numba.extending import intrinsic

from .lanes import LANES

#: So many rows at once.
EIGHT = 8

#: What it makes has no signature that a type checker could read.
_built: Any = intrinsic
_DOUBLE, _WORD = ir.DoubleType(), ir.IntType(32)


def _shuffled(builder: Any, a: Any, b: Any, places: list[int]) -> Any:
    mask = ir.Constant(ir.VectorType(_WORD, len(places)), places)
    return builder.shuffle_vector(a, b, mask)


def _transposed(builder: Any, rows: list[Any]) -> list[Any]:
    """EIGHT vectors of EIGHT: element j of row i becomes element i of row j.

    Step by step blocks of 1, 2 and 4 change places across the diagonal.
    """
    for block in (1, 2, 4):
        here = [at for at in range(EIGHT) if not at & block]
        upper = [at if not at & block else EIGHT + at - block for at in range(EIGHT)]
        lower = [at + block if not at & block else EIGHT + at for at in range(EIGHT)]
        for at in here:
            a, b = rows[at], rows[at + block]
            rows[at] = _shuffled(builder, a, b, upper)
            rows[at + block] = _shuffled(builder, a, b, lower)
    return rows


def _vector(builder: Any, data: Any, index: Any, element: ir.Type) -> Any:
    """A pointer to EIGHT elements from `index` on."""
    kind = ir.VectorType(element, EIGHT).as_pointer()
    return builder.bitcast(builder.gep(data, [index]), kind)


def _data(context: Any, builder: Any, kind: Any, array: Any) -> Any:
    return context.make_array(kind)(context, builder, array).data


def _row_part(builder: Any, k: Any, by: Any, n: int, half: int) -> Any:
    """Where in an array of rows of LANES row k + n·by has its part that begins at `half`."""
    at = builder.add(k, builder.mul(by, by.type(n)))
    return builder.add(builder.mul(at, at.type(LANES)), at.type(half))


@_built
def put_eight(typingctx, array, firsts, column, rows, k, by):
    """Store rows k, k + by, k + 2·by, … of `rows` at array[first + column + 0, 1, 2, …], EIGHT."""

    def codegen(context, builder, sig, args):
        data, first, given = (_data(context, builder, sig.args[n], args[n]) for n in (0, 1, 3))
        for half in range(0, LANES, EIGHT):
            fetched = []
            for n in range(EIGHT):
                at = _row_part(builder, args[4], args[5], n, half)
                fetched.append(builder.load(_vector(builder, given, at, _DOUBLE), align=8))
            for lane, line in enumerate(_transposed(builder, fetched)):
                begin = builder.load(cgutils.gep(builder, first, half + lane))
                at = _vector(builder, data, builder.add(begin, args[2]), _DOUBLE)
                builder.store(line, at, align=8)

    return types.void(array, firsts, types.intp, rows, types.intp, types.intp), codegen


@_built
def take_eight(typingctx, array, firsts, column, words, k, by):
    """Store the words array[first + column + 0, 1, 2, …] as rows k, k + by, … of `words`, EIGHT."""

    def codegen(context, builder, sig, args):
        data, first, taken = (_data(context, builder, sig.args[n], args[n]) for n in (0, 1, 3))
        for half in range(0, LANES, EIGHT):
            lines = []
            for lane in range(EIGHT):
                begin = builder.load(cgutils.gep(builder, first, half + lane))
                at = _vector(builder, data, builder.add(begin, args[2]), _WORD)
                lines.append(builder.load(at, align=4))
            for n, line in enumerate(_transposed(builder, lines)):
                at = _row_part(builder, args[4], args[5], n, half)
                builder.store(line, _vector(builder, taken, at, _WORD), align=4)

    return types.void(array, firsts, types.intp, words, types.intp, types.intp), codegen
