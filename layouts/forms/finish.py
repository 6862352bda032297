"""What each form is built of, where nobody says: materials that stand well together."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Finish:
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
    "gable": Finish("lap-siding-sage", "lap-siding-white", "shingle-grey", "door-red"),
    "cross-gable": Finish("lap-siding-blue", "lap-siding-white", "shingle-grey", "door-red"),
    "hip": Finish("brick-red", "render-cream", "slate", "door-green", "stone"),
    "gambrel": Finish("lap-siding-cream", "lap-siding-white", "shingle-brown", "door-blue"),
    "shed": Finish("lap-siding-grey", "timber-light", "metal-dark", "door-blue"),
    "flat": Finish("render-white", "timber-light", "metal-dark", "timber"),
}


def finish_of(form: str, wall: str | None, roof: str | None) -> Finish:
    """The form's materials, with those that somebody chose."""
    usual = LOOKS[form]
    wall = wall or usual.wall
    corner = "stone" if wall.startswith("brick") else "trim-white"
    return Finish(wall, usual.second, roof or usual.roof, usual.door, corner)
