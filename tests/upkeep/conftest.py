"""Houses in code and ngspice on both rails, as the circuit's tests have them."""

import importlib.util
from pathlib import Path
from types import ModuleType

CIRCUIT = Path(__file__).resolve().parents[1] / "circuit"


def _module(file: Path, name: str) -> ModuleType:
    spec = importlib.util.spec_from_file_location(name, file)
    assert spec is not None
    assert spec.loader is not None
    made = importlib.util.module_from_spec(spec)
    import sys

    sys.modules[name] = made  # dataclasses look their module up
    spec.loader.exec_module(made)
    return made


_houses = _module(CIRCUIT / "conftest.py", "upkeep_circuit_houses")
_ngspice = _module(CIRCUIT / "ngspice" / "conftest.py", "upkeep_ngspice")

make = _houses.make
both = _ngspice.both
