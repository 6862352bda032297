"""`warm:` of a kind as its file has it."""

from __future__ import annotations

from typing import Annotated

from pydantic import AfterValidator, Field

from layouts.quantities import rising
from layouts.strict import StrictModel

_T1 = Annotated[
    list[Annotated[float, Field(ge=10, le=100_000)]],
    Field(min_length=2, max_length=2),
    AfterValidator(rising),
]
_Wave = Annotated[
    list[Annotated[float, Field(ge=0, le=2)]],
    Field(min_length=2, max_length=2),
    AfterValidator(rising),
]


class WarmEntry(StrictModel):
    """What temperature does to one channel of a kind."""

    vf_mv_per_k: Annotated[float, Field(ge=0, le=50)] | None = Field(
        None, description="[mV/K] by which the forward voltage of one die falls"
    )
    t1_k: _T1 | None = Field(None, description="[K] of light = exp(-(T - 25)/t1), least and most")
    nm_per_k: _Wave | None = Field(
        None, description="[nm/K] by which the wavelength grows, least and most"
    )


class WarmEntries(StrictModel):
    """What temperature does to the channels of a kind."""

    r: WarmEntry | None = None
    g: WarmEntry | None = None
    b: WarmEntry | None = None
    w: WarmEntry | None = None
    c: WarmEntry | None = None
