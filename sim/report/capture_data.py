"""The report of a recorded show as data."""

from __future__ import annotations

from typing import Any

from layouts.errors import shown
from sim.data.patch import refreshes

from .capture import CaptureReport
from .patch import refresh_json
from .power_data import run_json, supply_json, wire_json
from .wording import finding_json


def as_json(report: CaptureReport) -> dict[str, Any]:
    """The fields of `power`'s JSON; `brightness_ceiling` is a share of the levels recorded.

    Fields are stable; later versions only add.
    """
    total_a = report.loads.run_a.sum(axis=1)
    worst, ceiling, told = report.worst_frame, report.ceiling, report.recorded
    return {
        "house": report.house.name,
        "scheme": None,
        "capture": report.file,
        "brightness": None,
        "frames": report.frames,
        "fps": report.fps,
        "seconds": report.seconds,
        "whole_period": False,
        "nameplate_a": report.nameplate_a,
        "peak_a": float(total_a[worst]),
        "peak_time_s": report.when_s(worst),
        "mean_a": report.mean_a,
        "brightness_ceiling": ceiling and ceiling.brightness,
        "ceiling_limit": ceiling and ceiling.limit,
        "energy": {
            "dc_w_mean": report.energy.dc_w_mean,
            "wall_w_mean": report.energy.wall_w_mean,
            "idle_wall_w": report.energy.idle_wall_w,
            "copper_w_mean": report.energy.copper_w_mean,
        },
        "supplies": [supply_json(use, report.when_s) for use in report.supplies],
        "wires": [
            wire_json(use, short, report.when_s)
            for use, short in zip(report.wires, report.shorts, strict=True)
        ],
        "runs": [run_json(use, report.when_s) for use in report.runs],
        "outputs": [refresh_json(each) for each in refreshes(report.house)],
        "packets": {
            "read": told.end.packets,
            "whole": not told.end.why,
            "octets": told.end.octets,
            "skipped": told.skipped,
            "counts": dict(told.receiver.counts),
            "missed": told.missed,
        },
        "universes": [
            {
                "universe": number,
                "packets": told.packets.get(number, 0),
                "hz": told.packets.get(number, 0) / report.seconds if report.seconds else None,
            }
            for number in report.patch.universes
        ],
        "sources": [
            {
                "id": each.cid.hex(),
                "name": shown(each.name),
                "address": each.address,
                "priority": each.priority,
                "universes": sorted(each.universes),
            }
            for each in told.sources
        ],
        "findings": [finding_json(each) for each in report.findings],
    }
