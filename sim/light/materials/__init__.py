"""Procedural materials: what a surface looks like, computed from where one looks at it."""

from sim.light.materials.garden import habit_of
from sim.light.materials.patch import Look, Patch
from sim.light.materials.roofs import pitch_of
from sim.light.materials.table import GLAZED, LEAFY, LYING, TEXTURES, look

__all__ = ["GLAZED", "LEAFY", "LYING", "TEXTURES", "Look", "Patch", "habit_of", "look", "pitch_of"]
