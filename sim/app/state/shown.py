"""What is made for the window and what is on show of it: records that work and view share."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from effects import Scheme, Show
from layouts import House
from sim.frame import Frame, Rig
from sim.light import Scene
from sim.plan.boxes import HungBoxes


@dataclass(frozen=True, eq=False)
class Side:
    """One house with one kind of pixel, ready to be asked for frames and pictures."""

    kind: str | None
    rig: Rig
    scene: Scene
    hung: HungBoxes | None = None  # where its boxes hang and its wires lie


@dataclass(frozen=True, eq=False)
class Ready:
    """What stands still, made once beside the window's own work."""

    show: Show
    frame: Frame
    image: np.ndarray  # (H, W, 3) uint8


@dataclass(frozen=True, eq=False)
class Stage:
    """All that one picture comes from; replaced as a whole, so that its parts always fit."""

    house: House
    scheme: Scheme | None
    left: Side
    right: Side | None
    exposure_ev: float  # the same on both sides, kept while the kind changes
    plain: bool = False  # the scheme is not the file's: plain light to draw by
    held: bool = False  # made in haste: light at fewer places, what is painted as it was
    ready: Ready | None = None  # plain light does not move: its picture is made with the stage
    hour: str = ""  # of the night in its picture; "" where that cannot change
    coarse: bool = False  # the very first: fewer points than its place has, until the fine one
    digest: str = ""  # of the house file that it was made from; "" where nothing asks for it


@dataclass(frozen=True, eq=False)
class Shown:
    """What is on show: frames (None without a scheme) and pictures of one side or both."""

    stage: Stage
    show: Show | None
    left: Frame | None
    right: Frame | None
    left_image: np.ndarray  # (H, W, 3) uint8
    right_image: np.ndarray | None

    @property
    def left_house(self) -> House:
        """The house that the left frame is of."""
        return self.stage.left.rig.house
