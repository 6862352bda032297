"""What each form is built of, where nobody says: materials that stand well together."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Look:
    """Names of materials."""

    wall: str
    second: str  # of wings, dormers and what stands out
    roof: str
    door: str
    corner: str = "trim-white"

    @property
    def brick(self) -> bool:
        """Whether windows carry lintels."""
        return self.wall.startswith("brick")


LOOKS = {
    "gable": Look("lap-siding-sage", "lap-siding-white", "shingle-grey", "door-red"),
    "cross-gable": Look("lap-siding-blue", "lap-siding-white", "shingle-grey", "door-red"),
    "hip": Look("brick-red", "render-cream", "slate", "door-green", "stone"),
    "gambrel": Look("lap-siding-cream", "lap-siding-white", "shingle-brown", "door-blue"),
    "shed": Look("lap-siding-grey", "timber-light", "metal-dark", "door-blue"),
    "flat": Look("render-white", "timber-light", "metal-dark", "timber"),
}


def look_of(form: str, wall: str | None, roof: str | None) -> Look:
    """The form's materials, with those that somebody chose."""
    usual = LOOKS[form]
    wall = wall or usual.wall
    corner = "stone" if wall.startswith("brick") else "trim-white"
    return Look(wall, usual.second, roof or usual.roof, usual.door, corner)
