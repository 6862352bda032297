"""Four pixels mixed in one go: what lies there, (…, 3) floats, and colours laid over it.

Twelve floats of three channels are three values of four lanes. A compiler that sees pixels of three
floats, each with a cover and a colour looked up for itself, takes them one after another; here it
is told which lane is which. Each operation is that of IEEE 754 on floats, lane by lane, in the
order of `effects.engine`.

This is for compiled code alone: nothing of it can be called from Python.
"""
# mypy: disable-error-code="no-untyped-def,no-untyped-call"

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from llvmlite import ir  # type: ignore[import-untyped]
from numba.core import types
from numba.extending import intrinsic

#: What it makes has no signature that a type checker could read.
_built: Any = intrinsic
_WORD = ir.IntType(32)
_FOUR = ir.VectorType(ir.FloatType(), 4)
_ONE = ir.Constant(_FOUR, [1.0] * 4)
_ZERO = ir.Constant(_FOUR, [0.0] * 4)

#: Which pixel of four the lanes of the three values belong to: r g b r, g b r g, b r g b.
_PIXEL = ((0, 0, 0, 1), (1, 1, 2, 2), (2, 3, 3, 3))
#: Which lanes of the colours of two neighbouring pixels, of four floats each, they take.
_TAKEN = ((0, 1, 2, 4), (1, 2, 4, 5), (2, 4, 5, 6))


def _fetched(context: Any, builder: Any, kind: Any, array: Any, index: Any, what: Any) -> Any:
    """A pointer to four items of a contiguous array from `index` on."""
    data = context.make_array(kind)(context, builder, array).data
    return builder.bitcast(builder.gep(data, [index]), what.as_pointer())


def _shuffled(builder: Any, a: Any, b: Any, lanes: tuple[int, ...]) -> Any:
    return builder.shuffle_vector(a, b, ir.Constant(ir.VectorType(_WORD, 4), list(lanes)))


def _over(builder: Any, below: Any, colour: Any, alpha: Any) -> Any:
    return builder.fadd(below, builder.fmul(builder.fsub(colour, below), alpha))


def _add(builder: Any, below: Any, colour: Any, alpha: Any) -> Any:
    return builder.fadd(below, builder.fmul(colour, alpha))


def _lighten(builder: Any, below: Any, colour: Any, alpha: Any) -> Any:
    colour = builder.fmul(colour, alpha)
    return builder.select(builder.fcmp_ordered(">", below, colour), below, colour)


def _multiply(builder: Any, below: Any, colour: Any, alpha: Any) -> Any:
    kept = builder.fadd(builder.fmul(builder.fsub(colour, _ONE), alpha), _ONE)
    return builder.fmul(below, kept)


def _mixed(
    context: Any, builder: Any, sig: Any, args: Any, colours: list[Any], blend: Callable[..., Any]
) -> None:
    """Lay three values of colours over `out` from `at` on; `args` begin with out, at, alpha, n."""
    place = _fetched(context, builder, sig.args[0], args[0], args[1], _FOUR)
    cover = _fetched(context, builder, sig.args[2], args[2], args[3], _FOUR)
    alpha = builder.load(cover, align=4)
    for k in range(3):
        at = builder.gep(place, [_WORD(k)])
        each = _shuffled(builder, alpha, alpha, _PIXEL[k])
        mixed = blend(builder, builder.load(at, align=4), colours[k], each)
        builder.store(mixed, at, align=4)


def _looked_up(blend: Callable[..., Any]) -> Any:
    @_built
    def four(typingctx, out, at, alpha, n, ring, row):
        """Colours `row[n : n + 4]` of `ring` (K, 4), covers from `alpha[n]` on."""

        def codegen(context, builder, sig, args):
            rows = _fetched(context, builder, sig.args[5], args[5], args[3], _WORD)
            data = context.make_array(sig.args[4])(context, builder, args[4]).data
            data = builder.bitcast(data, _FOUR.as_pointer())
            pixels = []
            for lane in range(4):
                which = builder.load(builder.gep(rows, [_WORD(lane)]))
                which = builder.zext(which, ir.IntType(64))
                pixels.append(builder.load(builder.gep(data, [which]), align=4))
            colours = [
                _shuffled(builder, pixels[k], pixels[k + 1], lanes)
                for k, lanes in enumerate(_TAKEN)
            ]
            _mixed(context, builder, sig, args, colours, blend)
            return context.get_dummy_value()

        return types.void(out, types.intp, alpha, types.intp, ring, row), codegen

    return four


def _laid_out(blend: Callable[..., Any]) -> Any:
    @_built
    def four(typingctx, out, at, alpha, n, colour):
        """The colours `colour[3 * n :]`, covers from `alpha[n]` on."""

        def codegen(context, builder, sig, args):
            first = builder.mul(args[3], args[3].type(3))
            begin = _fetched(context, builder, sig.args[4], args[4], first, _FOUR)
            colours = [builder.load(builder.gep(begin, [_WORD(k)]), align=4) for k in range(3)]
            _mixed(context, builder, sig, args, colours, blend)
            return context.get_dummy_value()

        return types.void(out, types.intp, alpha, types.intp, colour), codegen

    return four


over_found, over_given = _looked_up(_over), _laid_out(_over)
add_found, add_given = _looked_up(_add), _laid_out(_add)
lighten_found, lighten_given = _looked_up(_lighten), _laid_out(_lighten)
multiply_found, multiply_given = _looked_up(_multiply), _laid_out(_multiply)


@_built
def uncovered(typingctx, alpha, n):
    """Whether the covers of four pixels from `alpha[n]` on are all zero."""

    def codegen(context, builder, sig, args):
        bits = ir.IntType(128)
        at = _fetched(context, builder, sig.args[0], args[0], args[1], bits)
        found = builder.load(at, align=4)
        return builder.icmp_unsigned("==", found, bits(0))

    return types.boolean(alpha, types.intp), codegen


@_built
def raise_four(typingctx, out, at):
    """What is below zero in four pixels becomes zero: `lighten` with a cover of zero."""

    def codegen(context, builder, sig, args):
        place = _fetched(context, builder, sig.args[0], args[0], args[1], _FOUR)
        for k in range(3):
            at = builder.gep(place, [_WORD(k)])
            below = builder.load(at, align=4)
            builder.store(
                builder.select(builder.fcmp_ordered(">", below, _ZERO), below, _ZERO), at, align=4
            )
        return context.get_dummy_value()

    return types.void(out, types.intp), codegen
