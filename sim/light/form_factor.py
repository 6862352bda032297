"""How much of the light of one rectangle falls on another: closed forms for sides that line up.

A₁F₁₂ is the area of one rectangle times the share of its diffuse light that arrives at the other,
the same from either side (reciprocity). With sides parallel to common axes it is a sum over the
corners of a function G, one for rectangles in parallel planes and one for planes at right angles
(Ehlert and Smith 1993, "View factors for perpendicular and parallel rectangular plates", Journal
of Thermophysics and Heat Transfer 7(1); Howell, A Catalog of Radiation Heat Transfer Configuration
Factors, C-13 and C-15) [from memory; tests hold them to other closed forms and to closed boxes].
"""

from __future__ import annotations

import math

from sim.kernels import njit

Span = tuple[float, float]


@njit(inner=True, cache=True, nogil=True, error_model="numpy")
def _along(a: float, b: float) -> float:
    """a · b · atan(a / b), and 0 where b is."""
    return a * b * math.atan2(a, b) if b > 0.0 else 0.0


@njit(cache=True, nogil=True, error_model="numpy")
def exchanged_parallel(u1: Span, v1: Span, u2: Span, v2: Span, gap: float) -> float:
    """A₁F₁₂ [m²] of rectangles u × v in two parallel planes `gap` apart that face each other."""
    total = 0.0
    for i in range(2):
        for j in range(2):
            for k in range(2):
                for n in range(2):
                    u, v = u1[i] - u2[k], v1[j] - v2[n]
                    square = u * u + v * v + gap * gap
                    part = _along(v, math.sqrt(u * u + gap * gap))
                    part += _along(u, math.sqrt(v * v + gap * gap))
                    if square > 0.0:
                        part -= gap * gap / 2 * math.log(square)
                    total += part if (i + j + k + n) % 2 == 0 else -part
    return max(total / (2 * math.pi), 0.0)


@njit(cache=True, nogil=True, error_model="numpy")
def exchanged_square(along1: Span, off1: Span, along2: Span, off2: Span) -> float:
    """A₁F₁₂ [m²] of rectangles in two planes at right angles.

    `along` is measured along the line where the planes meet, `off` from that line, 0 or more.
    """
    total = 0.0
    for i in range(2):
        for j in range(2):
            for k in range(2):
                for n in range(2):
                    side = along1[i] - along2[k]
                    away = off1[j] * off1[j] + off2[n] * off2[n]
                    square = away + side * side
                    part = _along(side, math.sqrt(away))
                    if square > 0.0:
                        part -= (away - side * side) / 4 * math.log(square)
                    total += part if (i + j + k + n) % 2 == 0 else -part
    return max(total / (2 * math.pi), 0.0)
