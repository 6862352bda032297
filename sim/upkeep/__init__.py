"""Keeping a house lit: what is measured, what cold and years do, what breaks."""

from .broken import BrokenFrame, BrokenRig, BrokenState, broken, frame_of_broken
from .singles import each_alone

__all__ = [
    "BrokenFrame",
    "BrokenRig",
    "BrokenState",
    "broken",
    "each_alone",
    "frame_of_broken",
]
