"""The limits that findings, bars and the ceiling compare with: one record, read from one table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

#: A share this little past its limit is the arithmetic's and not the house's.
_ROUNDING = 1e-9


@dataclass(frozen=True)
class Limit:
    """One row of the table."""

    value: float
    unit: str
    source: str
    note: str = ""


@dataclass(frozen=True)
class Class2Row:
    """The largest Class 2 source up to a voltage: so many VA a volt, or so many in all."""

    most_v: float
    va_per_v: float | None
    va: float | None
    source: str


@dataclass(frozen=True)
class WarmRow:
    """What share of its limit a part keeps at a temperature."""

    celsius: float
    share: float
    source: str


@dataclass(frozen=True)
class Limits:
    """Every limit by name; shares are 0..1, or above where more than the rating is meant."""

    rows: Mapping[str, Limit]
    class_2: tuple[Class2Row, ...]
    warm: Mapping[str, tuple[WarmRow, ...]]  # of "supply" and "fuse", coldest first

    def left_at(self, part: str, celsius: float) -> float:
        """Share 0..1 of its limit that a "supply" or "fuse" keeps at a temperature [°C].

        Straight between the rows, whole below them; nothing beyond the last, for which there is
        no figure.
        """
        rows = self.warm[part]
        for low, high in pairwise(rows):
            if low.celsius <= celsius <= high.celsius:
                part_way = (celsius - low.celsius) / (high.celsius - low.celsius)
                return low.share + part_way * (high.share - low.share)
        return rows[0].share if celsius < rows[0].celsius else 0.0

    @property
    def coldest_start_c(self) -> float:
        """[°C] below which supplies are not rated to start."""
        return self.warm["supply"][0].celsius

    @property
    def supply_load(self) -> float:
        """Share of its rating that a supply may give for hours."""
        return self.rows["supply_load"].value

    @property
    def fuse_load(self) -> float:
        """Share of its rating that a fuse may carry for ever."""
        return self.rows["fuse_load"].value

    @property
    def wire_load(self) -> float:
        """Share of its ampacity that a wire may carry for hours."""
        return self.rows["wire_load"].value

    @property
    def drop_note(self) -> float:
        """Share of the supply's voltage lost on the way that is worth a word."""
        return self.rows["drop_note"].value

    @property
    def drop_warning(self) -> float:
        """Share of the supply's voltage lost on the way that is too much."""
        return self.rows["drop_warning"].value

    @property
    def supply_gives(self) -> float:
        """Multiple of its rating that a supply surely gives before it limits itself."""
        return self.rows["supply_gives"].value

    @property
    def photo_fit_m(self) -> float:
        """[m] on the wall that a known point of a photograph may be off."""
        return self.rows["photo_fit_m"].value

    @property
    def free_cable_m(self) -> float:
        """[m] of cable that may lie along no run and no route before it is told."""
        return self.rows["free_cable_m"].value

    def suits(self, supply_v: float, kind_v: float) -> bool:
        """Whether a supply of this voltage is made, or can be trimmed, for a kind of that one."""
        return abs(supply_v / kind_v - 1) <= self.rows["supply_volts"].value + _ROUNDING

    def class_2_w(self, volts: float) -> float | None:
        """[W] of the largest Class 2 source of a DC voltage; None where there is none."""
        for row in self.class_2:
            if volts <= row.most_v:
                return row.va if row.va_per_v is None else row.va_per_v * volts
        return None
