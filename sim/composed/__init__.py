"""Layers composed by compiled code, for many frames: `effects.engine` bit for bit."""

from sim.composed.laying import lay

__all__ = ["lay"]
