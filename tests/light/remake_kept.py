"""Remakes kept_luminance.npz after a wanted change of the picture: look at the pictures first."""

import importlib.util
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
spec = importlib.util.spec_from_file_location("test_picture", HERE / "test_picture.py")
assert spec is not None
assert spec.loader is not None
tests = importlib.util.module_from_spec(spec)
spec.loader.exec_module(tests)

if __name__ == "__main__":
    kept = {name: tests.coarse_luminance(name).astype(np.float32) for name in tests.HOUSES}
    np.savez_compressed(tests.KEPT, **kept)
    print(f"wrote {tests.KEPT}")
