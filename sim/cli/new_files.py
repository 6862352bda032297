"""What a new folder gets beside its house."""

from __future__ import annotations

#: For a house that has no scheme yet.
PLAIN_SCHEME = """\
# A plain warm evening. `evenfall list effects` and `evenfall list palettes` name what there is.
format: evenfall-scheme/1
name: Warm evening
brightness: 0.5
layers:
  - {zones: all, effect: steady, palette: ["2700 K"]}
"""
