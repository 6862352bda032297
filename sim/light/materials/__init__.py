"""Procedural materials: what a surface looks like, computed from where one looks at it."""

from sim.light.materials.patch import Look, Patch
from sim.light.materials.table import GROUND, LEAFY, ROOFS, TEXTURES, look

__all__ = ["GROUND", "LEAFY", "ROOFS", "TEXTURES", "Look", "Patch", "look"]
