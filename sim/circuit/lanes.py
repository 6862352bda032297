"""LANES numbers side by side as one value of compiled code, kept in the processor's registers.

numba knows numbers and arrays. A loop over a short last axis becomes vector instructions only where
the compiler can prove that no two rows overlap, and every step between two such loops goes through
memory. Here a row of LANES numbers is a value of its own, `Row`: `row(array, k)` fetches one,
`put(array, k, value)` stores it, and + − · / and the functions below act on all lanes at once. A
number next to a row stands for itself in every lane. Each operation is that of IEEE 754 on doubles,
lane by lane, as a plain loop would do it.

This is for compiled code alone: nothing of it can be called from Python.
"""
# mypy: disable-error-code="no-untyped-def,no-untyped-call"

from __future__ import annotations

import operator
from typing import Any, ClassVar

from llvmlite import ir  # type: ignore[import-untyped]
from numba.core import cgutils, types
from numba.core.imputils import lower_builtin, lower_cast
from numba.core.typeconv import Conversion
from numba.core.typing.templates import ConcreteTemplate, infer_global, signature
from numba.extending import intrinsic, models, register_model

#: Frames worked on side by side.
LANES = 16

#: What it makes has no signature that a type checker could read.
_built: Any = intrinsic
_DOUBLE, _BIT, _WORD = ir.DoubleType(), ir.IntType(1), ir.IntType(32)


class _Row(types.Type):
    """LANES doubles."""

    def __init__(self) -> None:
        super().__init__(name=f"Row{LANES}")

    def can_convert_from(self, typingctx: Any, other: Any) -> Any:
        """A number stands for itself in every lane."""
        return Conversion.safe if isinstance(other, types.Float | types.Integer) else None


class _Which(types.Type):
    """LANES answers yes or no."""

    def __init__(self) -> None:
        super().__init__(name=f"Which{LANES}")


class _Words(types.Type):
    """LANES words of 32 bits, as codes of up to four channels are stored."""

    def __init__(self) -> None:
        super().__init__(name=f"Words{LANES}")


ROW, WHICH, WORDS = _Row(), _Which(), _Words()


def _modelled(kind: type[types.Type], element: ir.Type) -> None:
    class Model(models.PrimitiveModel):
        def __init__(self, dmm: Any, fe_type: Any) -> None:
            super().__init__(dmm, fe_type, ir.VectorType(element, LANES))

    register_model(kind)(Model)


_modelled(_Row, _DOUBLE)
_modelled(_Which, _BIT)
_modelled(_Words, _WORD)


def _everywhere(builder: Any, value: Any) -> Any:
    """The vector that has a scalar in every lane."""
    vector = ir.VectorType(value.type, LANES)
    one = builder.insert_element(ir.Constant(vector, ir.Undefined), value, _WORD(0))
    zeros = ir.Constant(ir.VectorType(_WORD, LANES), [0] * LANES)
    return builder.shuffle_vector(one, ir.Constant(vector, ir.Undefined), zeros)


@lower_cast(types.Float, _Row)
@lower_cast(types.Integer, _Row)
def _number_to_row(context, builder, fromty, toty, value):
    return _everywhere(builder, context.cast(builder, value, fromty, types.float64))


def _operator(function: Any, build: str) -> None:
    class RowsToRow(ConcreteTemplate):
        cases: ClassVar = [signature(ROW, ROW, ROW)]

    infer_global(function)(RowsToRow)

    @lower_builtin(function, _Row, _Row)
    def lowered(context, builder, sig, args):
        return getattr(builder, build)(*args)


for _function, _build in (
    (operator.add, "fadd"),
    (operator.sub, "fsub"),
    (operator.mul, "fmul"),
    (operator.truediv, "fdiv"),
    (operator.iadd, "fadd"),
    (operator.isub, "fsub"),
    (operator.imul, "fmul"),
):
    _operator(_function, _build)


def _compared(function: Any, sign: str) -> None:
    class RowsToWhich(ConcreteTemplate):
        cases: ClassVar = [signature(WHICH, ROW, ROW)]

    infer_global(function)(RowsToWhich)

    @lower_builtin(function, _Row, _Row)
    def lowered(context, builder, sig, args):
        return builder.fcmp_ordered(sign, *args)


for _function, _sign in (
    (operator.lt, "<"),
    (operator.le, "<="),
    (operator.gt, ">"),
    (operator.ge, ">="),
    (operator.eq, "=="),
):
    _compared(_function, _sign)


def _place(
    context: Any, builder: Any, array_type: Any, array: Any, index: Any, element: Any
) -> Any:
    """A pointer to row `index` of a contiguous array (…, LANES)."""
    data = context.make_array(array_type)(context, builder, array).data
    offset = builder.mul(index, index.type(LANES))
    at = builder.gep(data, [offset])
    return builder.bitcast(at, ir.VectorType(element, LANES).as_pointer())


def _loading(element: Any, found: Any, aligned: int) -> Any:
    @_built
    def load(typingctx, array, k):
        """Row k of a contiguous array whose last axis is LANES long."""

        def codegen(context, builder, sig, args):
            at = _place(context, builder, sig.args[0], args[0], args[1], element)
            return builder.load(at, align=aligned)

        return found(array, types.intp), codegen

    return load


row = _loading(_DOUBLE, ROW, 8)
words = _loading(_WORD, WORDS, 4)


@_built
def put(typingctx, array, k, value):
    """Store a row, or words, as row k of a contiguous array whose last axis is LANES long."""
    words_given = isinstance(value, _Words)
    wide, kind, aligned = (_WORD, WORDS, 4) if words_given else (_DOUBLE, ROW, 8)

    def codegen(context, builder, sig, args):
        at = _place(context, builder, sig.args[0], args[0], args[1], wide)
        builder.store(args[2], at, align=aligned)

    return types.void(array, types.intp, kind), codegen


@_built
def gathered(typingctx, array, firsts, column):
    """The words array[first + column] of a contiguous array, a `first` a lane, (LANES,)."""

    def codegen(context, builder, sig, args):
        data = context.make_array(sig.args[0])(context, builder, args[0]).data
        first = context.make_array(sig.args[1])(context, builder, args[1]).data
        out = ir.Constant(ir.VectorType(_WORD, LANES), ir.Undefined)
        for lane in range(LANES):
            begin = builder.load(cgutils.gep(builder, first, lane))
            value = builder.load(builder.gep(data, [builder.add(begin, args[2])]))
            out = builder.insert_element(out, value, _WORD(lane))
        return out

    return WORDS(array, firsts, types.intp), codegen


@_built
def scatter(typingctx, array, firsts, column, value):
    """Store the lanes of a row at array[first + column] of a contiguous array."""

    def codegen(context, builder, sig, args):
        data = context.make_array(sig.args[0])(context, builder, args[0]).data
        first = context.make_array(sig.args[1])(context, builder, args[1]).data
        for lane in range(LANES):
            begin = builder.load(cgutils.gep(builder, first, lane))
            one = builder.extract_element(args[3], _WORD(lane))
            builder.store(one, builder.gep(data, [builder.add(begin, args[2])]))

    return types.void(array, firsts, types.intp, ROW), codegen


@_built
def octet(typingctx, value, number):
    """Octet 0..3 of each word, counted from the lowest, as numbers."""

    def codegen(context, builder, sig, args):
        eight = builder.mul(args[1], args[1].type(8))
        by = _everywhere(builder, builder.trunc(eight, _WORD))
        low = ir.Constant(ir.VectorType(_WORD, LANES), [255] * LANES)
        part = builder.and_(builder.lshr(args[0], by), low)
        return builder.sitofp(part, ir.VectorType(_DOUBLE, LANES))

    return ROW(WORDS, types.intp), codegen


@_built
def every(typingctx, value):
    """The row that has a number in every lane."""

    def codegen(context, builder, sig, args):
        return _everywhere(builder, args[0])

    return ROW(types.float64), codegen


@_built
def least(typingctx, a, b):
    """The smaller of two rows in each lane."""

    def codegen(context, builder, sig, args):
        return builder.select(builder.fcmp_ordered("<", *args), *args)

    return ROW(ROW, ROW), codegen


@_built
def most(typingctx, a, b):
    """The larger of two rows in each lane."""

    def codegen(context, builder, sig, args):
        return builder.select(builder.fcmp_ordered(">", *args), *args)

    return ROW(ROW, ROW), codegen


@_built
def chosen(typingctx, which, a, b):
    """a where `which`, else b."""

    def codegen(context, builder, sig, args):
        return builder.select(*args)

    return ROW(WHICH, ROW, ROW), codegen


@_built
def either(typingctx, a, b):
    """Where one of two answers is yes."""

    def codegen(context, builder, sig, args):
        return builder.or_(*args)

    return WHICH(WHICH, WHICH), codegen


@_built
def both(typingctx, a, b):
    """Where both answers are yes."""

    def codegen(context, builder, sig, args):
        return builder.and_(*args)

    return WHICH(WHICH, WHICH), codegen


@_built
def anywhere(typingctx, which):
    """Whether any lane says yes."""

    def codegen(context, builder, sig, args):
        bits = builder.bitcast(args[0], ir.IntType(LANES))
        return builder.icmp_unsigned("!=", bits, bits.type(0))

    return types.boolean(WHICH), codegen


@_built
def size_of(typingctx, value):
    """|value| in each lane."""

    def codegen(context, builder, sig, args):
        name = f"llvm.fabs.v{LANES}f64"
        vector = args[0].type
        function = cgutils.get_or_insert_function(
            builder.module, ir.FunctionType(vector, [vector]), name
        )
        return builder.call(function, args)

    return ROW(ROW), codegen
