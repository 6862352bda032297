"""What holds for every test: examples drawn are the same each time, and none is timed.

How fast something is, `tests/bench` measures; on a machine that others load a wall clock tells
nothing. Other examples than the usual ones: `HYPOTHESIS_PROFILE=other pytest`.
"""

from __future__ import annotations

import os

from hypothesis import HealthCheck, settings

_UNTIMED = {"deadline": None, "suppress_health_check": [HealthCheck.too_slow]}
settings.register_profile("same", derandomize=True, **_UNTIMED)
settings.register_profile("other", **_UNTIMED)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))
