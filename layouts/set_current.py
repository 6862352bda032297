"""What a part can be set to, and what it does when nobody tells it anything."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: What a part shows while it has power and no data.
Boots = Literal["dark", "blue", "pattern", "lit"]


@dataclass(frozen=True)
class SetCurrent:
    """The currents that a part can be set to, of its strongest channel."""

    least_ma: float
    most_ma: float
    step_ma: float

    def nearest(self, ma: float) -> float:
        """The step nearest to a current."""
        steps = round((ma - self.least_ma) / self.step_ma)
        most = round((self.most_ma - self.least_ma) / self.step_ma)
        return self.least_ma + min(max(steps, 0), most) * self.step_ma
