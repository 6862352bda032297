"""Where a pixel is on its run, in the units of the house."""

from types import SimpleNamespace

import numpy as np
import pytest

from layouts import house_from
from sim.app.state.inspect import report


@pytest.mark.parametrize(("units", "said"), [("m", "0.75 m"), ("ft", "2 ft 5 1/2 in")])
def test_the_place_of_a_pixel_speaks_the_house_s_units(units: str, said: str) -> None:
    # Ten pixels on 5 m hang at 0.25, 0.75 … m; 0.75 m are 29.53 in, to the eighth 2 ft 5 1/2 in.
    run = {"name": "eave", "pixels": "ws2812b", "path": [["0 m", "2 m"], ["5 m", "2 m"]]}
    data = {
        "format": "evenfall-house/1", "name": "Shed", "units": units,
        "drawing": {"size": ["6 m", "3 m"], "viewer": "8 m", "surfaces": []},
        "runs": [{**run, "count": 10}],
    }  # fmt: skip
    house = house_from(data)
    none = np.zeros((10, 5))
    frame = SimpleNamespace(
        codes=none.astype(np.uint8), volts=np.full(10, 5.0), light=none, amps=none[:, 0], asked=None
    )
    rows = dict(report(house, frame, 1, raw=False).rows)  # type: ignore[arg-type]
    assert rows["place"] == f"{said} along the run"
