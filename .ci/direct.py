"""Prints what is installed of what pyproject.toml asks for itself: `numba 0.60.0, numpy …`."""

import re
import tomllib
from importlib.metadata import version
from pathlib import Path

project = tomllib.loads(Path("pyproject.toml").read_text(encoding="utf-8"))["project"]
wanted = project["dependencies"] + project["optional-dependencies"]["test"]
names = sorted({re.match(r"[\w.-]+", each)[0].lower() for each in wanted})
print(", ".join(f"{name} {version(name)}" for name in names))
