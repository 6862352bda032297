"""Keeping a house lit: what is broken, and what that does."""

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
