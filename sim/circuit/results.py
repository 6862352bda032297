"""What a solve gives, and the two balances every solve can be asked for."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from . import law as pixel_law
from .build import Network


@dataclass(frozen=True, eq=False)
class Solution:
    """Volts and amperes of T frames: N pixels, S supplies, W wires, M + S nodes."""

    network: Network
    node_v: np.ndarray  # (T, M + S) [V] between + and −, pixels first, supplies' sources last
    amps: np.ndarray  # (T, N) [A] drawn by each pixel

    def at(self, frame: int) -> Solution:
        """One frame of it, without the axis T."""
        return Solution(self.network, self.node_v[frame], self.amps[frame])

    @property
    def volts(self) -> np.ndarray:
        """(T, N) [V] at each pixel."""
        return self.node_v[..., : self.network.pixels]

    @cached_property
    def dim(self) -> np.ndarray:
        """(T, N, 4) the factor 0..1 by which the voltage dims each channel."""
        return pixel_law.dim(self.network.law, self.volts)

    @cached_property
    def wire_a(self) -> np.ndarray:
        """(T, W) [A] in each wire, positive from its start to its end."""
        return self.edge_a(self.network.wire_edge)

    @cached_property
    def supply_a(self) -> np.ndarray:
        """(T, S) [A] out of each supply."""
        network = self.network
        at = np.flatnonzero((network.edge >= network.free).any(axis=1))
        source = network.free + np.arange(len(network.fixed_v))
        leaves = (network.edge[at, 0, None] == source).astype(float)
        enters = network.edge[at, 1, None] == source
        return self.edge_a(at) @ (leaves - enters)

    def edge_a(self, edges: np.ndarray | slice = slice(None)) -> np.ndarray:
        """(T, E) [A] in each edge of the network, positive from its first node to its second.

        Nothing flows in a house without supplies, whose pixels are taken to have their voltage.
        """
        if not len(self.network.fixed_v):
            return np.zeros((*self.node_v.shape[:-1], len(self.network.edge[edges])))
        a, b = self.network.edge[edges].T
        return (self.node_v[..., a] - self.node_v[..., b]) * self.network.edge_s[edges]


def kirchhoff_residual_a(solution: Solution) -> np.ndarray:
    """(T,) [A] the largest current that any free node fails to pass on; 0 in an exact solve."""
    network = solution.network
    frames, nodes = solution.node_v.shape
    if not len(network.fixed_v):
        return np.zeros(frames)
    left = np.zeros((nodes, frames))
    left[: network.pixels] -= solution.amps.T
    current = solution.edge_a().T
    np.subtract.at(left, network.edge[:, 0], current)
    np.add.at(left, network.edge[:, 1], current)
    return np.abs(left[: network.free]).max(axis=0, initial=0.0)


@dataclass(frozen=True, eq=False)
class Power:
    """Where the power of each frame goes, (T,) [W] each: supply = pixels + copper + source."""

    supply_w: np.ndarray  # of the ideal sources
    pixels_w: np.ndarray
    copper_w: np.ndarray  # in wires and rails, both conductors
    source_w: np.ndarray  # inside the supplies, behind their terminals

    @property
    def imbalance_w(self) -> np.ndarray:
        """(T,) [W] what is left over; 0 in an exact solve."""
        return self.supply_w - self.pixels_w - self.copper_w - self.source_w


def power(solution: Solution) -> Power:
    """The power balance of a solution. Without supplies the pixels' own power is the supply's."""
    network = solution.network
    pixels_w = (solution.volts * solution.amps).sum(axis=1)
    if not len(network.fixed_v):
        nothing = np.zeros_like(pixels_w)
        return Power(pixels_w, pixels_w, nothing, nothing)
    loss = solution.edge_a() ** 2 / network.edge_s
    inside = np.arange(len(network.edge)) >= network.first_source_edge
    return Power(
        supply_w=(solution.supply_a * network.fixed_v).sum(axis=1),
        pixels_w=pixels_w,
        copper_w=loss[:, ~inside].sum(axis=1),
        source_w=loss[:, inside].sum(axis=1),
    )
