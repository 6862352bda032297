"""The masses a form is made of: the house itself, a gabled wing, a garage."""

from __future__ import annotations

from layouts.forms import roof
from layouts.forms.body import Body
from layouts.forms.finish import Finish
from layouts.forms.measures import FormMeasures, wing_span
from layouts.forms.paint import BOARD, box
from layouts.forms.roof import Place

WING = 0.6  # how far a wing stands forward [m]
BACK = -0.3  # how far a garage stands back
GARAGE_EAVE = 2.65  # at most [m]
SEEN = BOARD + 0.12  # a roof that rises less [m] does not show over its gutter


def main_body(m: FormMeasures, look: Finish, at: float) -> Body:
    """The house itself, its left corner at `at`."""
    left, right = at - m.overhang, at + m.width + m.overhang
    edge: list[Place] = [(left, m.eave_m), (right, m.eave_m)]
    top: list[Place] = []
    if m.form == "shed" and m.facing == "gable":
        edge = roof.shed(left, right, m.eave_m, m.slope, high=high_side(m))
    elif m.form == "gable" and m.facing == "gable":
        edge = roof.gable(left, right, m.eave_m, m.slope)
    elif m.form == "gambrel" and m.facing == "gable":
        edge = roof.gambrel(left, right, m.eave_m, m.slope)
    elif m.form == "hip":
        deep = m.deep + 2 * m.overhang
        lifted = roof.hip(left, right, m.eave_m, m.slope, deep)
        top = [(x, y + BOARD * (y == m.eave_m)) for x, y in lifted]
    elif m.form != "flat":
        top = box(left, m.eave_m + BOARD, right, m.eave_m + m.rise)
    if m.rise < SEEN:
        top = []
    return Body("", at, at + m.width, 0.0, m.overhang, edge, top, look, look.wall)


def high_side(m: FormMeasures) -> str:
    """Where a roof that slopes across is high: away from the garage."""
    return "left" if m.garage == "right" else "right"


def wing_body(m: FormMeasures, look: Finish, at: float) -> Body:
    """The gable that a cross-gabled house turns to the street."""
    left, right = (at + x for x in wing_span(m))
    edge = roof.gable(left - m.overhang, right + m.overhang, m.eave_m, m.slope)
    return Body("gable", left, right, WING, m.overhang, edge, [], look, look.second)


def garage_body(m: FormMeasures, look: Finish, at: float) -> Body:
    """The garage beside the house, lower than it and a little back."""
    wide = m.garage_width or 0.0
    is_left = m.garage == "left"
    left, right = (at - wide, at) if is_left else (at + m.width, at + m.width + wide)
    eave = min(GARAGE_EAVE, m.eave_m - (0.25 if m.form in ("flat", "shed") else 0.1))
    begin = left - m.overhang if is_left else left
    end = right if is_left else right + m.overhang
    edge = [(begin, eave), (end, eave)]
    top: list[Place] = []
    if m.form not in ("flat", "shed"):
        run = min(3.0, 0.42 * m.deep) + m.overhang
        high = eave + min(1.0, m.slope) * run
        inset = min(run, 0.7 * (end - begin)) if m.form == "hip" else 0.0
        # A hipped house leans away above the garage: its ridge runs on to where that roof begins.
        taller = m.eave_m - eave > 1.0
        inner = m.overhang + run if m.form == "hip" and not taller else 0.0
        if taller:  # under the house's eave, so that neither cuts the other
            high = min(high, m.eave_m - 0.3)
        top = [
            (begin, eave + BOARD),
            (end, eave + BOARD),
            (end + inner if is_left else end - inset, high),
            (begin + inset if is_left else begin - inner, high),
        ]
        if high - eave < SEEN:
            top = []
    return Body("garage", left, right, BACK, m.overhang, edge, top, look, look.wall)
