"""What was measured of schemes and their ceilings, kept for when it is wanted again; bounded."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import replace
from threading import Lock

from sim.app.state.ribbon import CeilingAmps, Load, PeakBand, rescaled
from sim.app.work.load_keys import Family, LoadKey
from sim.app.work.octets import octets
from sim.report.watched import Watched

#: At most so much is kept [octets], but always the newest few curves: those on show.
MOST_BYTES, FEWEST = 64 << 20, 4
_CEILINGS = 256


class KeptLoads:
    """Whole curves, and what the scheme asks of every part, by what they depend on; the one used
    longest ago is dropped first, with all that is kept of it.

    Put in by the thread that measures, taken by that of the window.
    """

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most_bytes = most_bytes
        self._loads: OrderedDict[LoadKey, Load] = OrderedDict()
        self._watched: dict[LoadKey, Watched] = {}
        self._watched_octets: dict[LoadKey, int] = {}
        self._ceilings: OrderedDict[Family, CeilingAmps | None] = OrderedDict()
        self._lock = Lock()

    def __contains__(self, key: LoadKey) -> bool:
        return key in self._loads

    def __len__(self) -> int:
        return len(self._loads)

    def load(self, key: LoadKey) -> Load | None:
        """The curve of a key; None where it is not kept."""
        with self._lock:
            found = self._loads.get(key)
            if found is not None:
                self._loads.move_to_end(key)
            return found

    def about(self, key: LoadKey) -> Load | None:
        """The curve at the nearest brightness that is kept, rescaled; None without any.

        From a dark house nothing can be told. Of a broken house what is known of the sound one.
        """
        with self._lock:
            sound = self._loads.get(key.broken(())) if key.family.faults else None
            if sound is not None:
                return rescaled(sound, key.brightness)
            near = [
                one for one in self._loads if one.family == key.family and one.brightness > 0.02
            ]
            if not near:
                return None
            nearest = min(near, key=lambda one: abs(one.brightness - key.brightness))
            return rescaled(self._loads[nearest], key.brightness)

    def keep(self, key: LoadKey, load: Load) -> None:
        """Keep a whole curve."""
        with self._lock:
            self._loads[key] = load
            self._loads.move_to_end(key)
            self._bound()

    def keep_watched(self, key: LoadKey, watched: Watched) -> None:
        """Keep what a whole scheme asks of every part, beside its curve."""
        with self._lock:
            if key in self._loads:
                self._watched[key] = watched
                self._watched_octets[key] = _octets(watched)
                self._bound()

    def watched(self, key: LoadKey) -> Watched | None:
        """What a whole scheme asks of every part; None where it is not kept."""
        return self._watched.get(key)

    def knows_all(self, key: LoadKey) -> bool:
        """Whether both are kept: nothing is left to be measured. Of a broken house the curve is all
        that is."""
        return key in self._loads and (key in self._watched or bool(key.family.faults))

    @property
    def octets(self) -> int:
        """How much memory they take."""
        return sum(
            one.total_a.nbytes + one.supply_a.nbytes + one.utilisation.nbytes
            + one.strained_by.nbytes for one in self._loads.values()
        ) + sum(self._watched_octets.values())  # fmt: skip

    def _bound(self) -> None:
        while len(self._loads) > FEWEST and self.octets > self._most_bytes:
            dropped, _ = self._loads.popitem(last=False)
            self._watched.pop(dropped, None)
            self._watched_octets.pop(dropped, None)

    def keep_ceiling(self, family: Family, found: CeilingAmps | None) -> None:
        """Keep the ceiling of a family; None: there is none."""
        with self._lock:
            self._ceilings[family] = found
            while len(self._ceilings) > _CEILINGS:
                self._ceilings.popitem(last=False)

    def keep_band(self, family: Family, band: PeakBand | None) -> None:
        """Keep how sure the currents of a family are, beside its ceiling."""
        with self._lock:
            found = self._ceilings.get(family)
            if found is not None:
                self._ceilings[family] = replace(found, band=band)

    def has_ceiling(self, family: Family) -> bool:
        """Whether it is known, if only that there is none."""
        return family in self._ceilings

    def ceiling(self, family: Family) -> CeilingAmps | None:
        """The ceiling of a family; None: there is none, or it is not known."""
        return self._ceilings.get(family)


def _octets(watched: Watched) -> int:
    """Of its figures and of the house that they are of: that is kept with them."""
    return octets(watched.scan.loads, watched.scan.rig, watched.strain)
