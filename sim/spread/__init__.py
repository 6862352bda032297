"""How sure a figure is: draws of all that is unknown of a house, and the bands that follow.

What is unknown (`layouts/catalogue/spread.yaml`, `spread:` of a house file) is drawn by seed, every
draw goes through the exact circuit, and what it comes to is ranked (JCGM 101:2008). From below:

    known = unknowns(house)                     U common numbers, `known.common`: factor, part …
    drawn = draws(known, count, seed)           (D, U) `drawn.common`, (D, N) `drawn.current_each`
    drawn = fixed(known, values)                the same with values of your own: to try one
    found = of_draws(network, drawn, codes)     `Trials`: (D, F, …) of frames `codes` (F, N, 4)
    found = trials(network, known, codes, count, seed=…)   draws and solves in blocks, two threads
    kept(found)                                 (D,) bool: every limit kept in every frame
    found.used                                  (D, F, columns of `utilisation`); above 1: past
    band(values)                                `Band` of values (D,): mean, sd, low, high, shortest
    chance_of(happened)                         share of draws, and its own 95 % interval

On top of it: `quick.quick_bands(scan, ceiling)` (bands of peak, least volts, ceiling in no time),
`study.study(scan, ceiling, count, seed=…)` (every figure of a report, limits, whites, ΔE of two
reels), `first_order.first_order(known, figures)` (what each unknown alone does: `shares` (U, K) are
|c|·u, `sd` the whole, `values()` a quick distribution), `adaptive.adaptive(model)` and
`gum.propagate(model, …)` for any function of a few quantities.

`circuit_of(network, drawn)` gives the circuits alone, `sim.circuit.drawn.solve_drawn` solves them.
`known.nominal`, `known.means`, `known.sds` (U,) are what the sheets say, expectations and standard
uncertainties. A draw is known by seed and number: draw k is the same however many are asked for.
"""

from .bands import Band, band, chance_of
from .draws import Draws, circuit_of, draws, fixed
from .trials import Trials, kept, of_draws, trials
from .unknowns import Unknown, Unknowns, unknowns

__all__ = [
    "Band",
    "Draws",
    "Trials",
    "Unknown",
    "Unknowns",
    "band",
    "chance_of",
    "circuit_of",
    "draws",
    "fixed",
    "kept",
    "of_draws",
    "trials",
    "unknowns",
]
