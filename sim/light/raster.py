"""Outlines to coverage: how much of each picture pixel a surface covers, 0..1."""

from __future__ import annotations

import numpy as np
from PIL import Image, ImageDraw

from sim.light.materials.noise import noise
from sim.light.view import View

SUB = 4  # subpixels a side
LEAF_M = 0.07  # how far leaves stand out of the outline of a hedge
BOUGH = 0.045  # how far the boughs of a tree do, in widths of the tree
TREE_M = 1.8  # foliage taller than this is a tree


def coverage(
    view: View, outline_m: np.ndarray, *, leafy: bool = False, seed: int = 0
) -> tuple[slice, slice, np.ndarray] | None:
    """Rows, columns and (h, w) float32 coverage of an outline; None where it is out of the picture.

    Edges are antialiased by 4 × 4 subpixels. `leafy` frays the outline as foliage does.
    """
    points = view.to_px(outline_m)
    frame_w, frame_h = view.size_px
    narrow_m = float(np.ptp(outline_m, axis=0).min())
    bough_m = BOUGH * narrow_m if np.ptp(outline_m[:, 1]) > TREE_M else 0.0
    margin = int(np.ceil(2 * (LEAF_M + bough_m) * view.px_per_m)) + 1 if leafy else 0
    left, top = np.floor(points.min(axis=0)).astype(int) - margin
    right, bottom = np.ceil(points.max(axis=0)).astype(int) + margin
    left, top = max(left, 0), max(top, 0)
    right, bottom = min(right, frame_w), min(bottom, frame_h)
    if left >= right or top >= bottom:
        return None
    pad = margin
    width, height = right - left + 2 * pad, bottom - top + 2 * pad
    image = Image.new("L", (width * SUB, height * SUB))
    local = (points - (left - pad, top - pad)) * SUB - 0.5
    ImageDraw.Draw(image).polygon([(float(x), float(y)) for x, y in local], fill=255)
    if not leafy:
        share = np.asarray(image.reduce(SUB), dtype=np.float32) / 255
    else:
        share = _frayed(np.asarray(image), view, (left, top, pad), bough_m, seed)
    return slice(top, bottom), slice(left, right), share


def _frayed(
    fine: np.ndarray, view: View, place: tuple[int, int, int], bough_m: float, seed: int
) -> np.ndarray:
    """The mask looked up at places pushed about by leaf-sized noise, two samples a side."""
    left, top, pad = place
    height, width = fine.shape[0] // SUB - 2 * pad, fine.shape[1] // SUB - 2 * pad
    total = np.zeros((height, width), dtype=np.float32)
    reach = LEAF_M * view.px_per_m * SUB
    bough = bough_m * view.px_per_m * SUB
    for sub_y in (0.25, 0.75):
        for sub_x in (0.25, 0.75):
            columns = np.arange(width)[None, :] + sub_x
            rows = np.arange(height)[:, None] + sub_y
            x_m = (columns + left) * view.pixel_m
            y_m = (rows + top) * view.pixel_m
            push_x = noise(x_m * 13, y_m * 13, seed) + 0.6 * noise(x_m * 33, y_m * 33, seed + 1)
            push_y = noise(x_m * 13, y_m * 13, seed + 2) + 0.6 * noise(x_m * 33, y_m * 33, seed + 3)
            u = (columns + pad) * SUB + reach * (2 * push_x - 1.6)
            v = (rows + pad) * SUB + reach * (2 * push_y - 1.6)
            if bough:
                u = u + 2 * bough * (noise(x_m * 2.6, y_m * 2.6, seed + 4) - 0.5)
                v = v + 2 * bough * (noise(x_m * 2.6, y_m * 2.6, seed + 5) - 0.5)
            u = np.clip(u, 0, fine.shape[1] - 1).astype(np.int32)
            v = np.clip(v, 0, fine.shape[0] - 1).astype(np.int32)
            total += fine[v, u]
    return total / (4 * 255)
