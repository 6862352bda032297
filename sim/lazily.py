"""What `import sim` offers, imported when it is first used: the command has to start at once."""

from __future__ import annotations

from typing import Any


def __getattr__(name: str) -> Any:
    import importlib
    import sys

    if name in sys.modules["sim"].__all__:
        return getattr(importlib.import_module("sim.notebook"), name)
    raise AttributeError(f"module 'sim' has no attribute '{name}'")


def __dir__() -> list[str]:
    import sys

    return sorted({*vars(sys.modules["sim"]), *sys.modules["sim"].__all__})
