"""The flags of many draws, for every verb that makes them."""

from __future__ import annotations

from typing import Annotated

import typer

from sim.cli.common import fail

SpreadOption = Annotated[
    int | None,
    typer.Option(
        "--spread", metavar="N", help="Bands from N draws of all that parts differ in: 1000."
    ),
]
SeedOption = Annotated[
    int, typer.Option("--seed", min=0, metavar="S", help="Other draws; the same seed, the same.")
]


def refuse_draws(spread: int, verb: str) -> None:
    """Ends with status 2 where so many draws make no sense, before anything is worked out."""
    from layouts.errors import EvenfallError
    from sim.spread.study import check_draws

    try:
        check_draws(spread)
    except EvenfallError as error:
        fail(f"evenfall {verb}: --spread: {error}")
