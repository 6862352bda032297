"""What files are called: endings, and names looked for beside a house file."""

from __future__ import annotations

SCHEME_ENDING = ".scheme.yaml"
SCHEMES = f"*{SCHEME_ENDING}"  # a pattern for `Path.glob`
PARTS = "parts.yaml"
PRICES = "prices.yaml"
