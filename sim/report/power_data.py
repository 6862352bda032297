"""The power report as data: JSON, and the totals of every frame as CSV."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Any

import numpy as np

from layouts.records import CHANNELS, House
from sim.circuit import Loads, RunUse, Short, SupplyUse, WireUse
from sim.data.patch import refreshes
from sim.frame import Frame, Rig
from sim.upkeep.margins import OutputMargins

from .csv_cells import csv_line
from .patch import refresh_json
from .power import PowerReport
from .spread_data import with_quick, with_study
from .text import pixel_name
from .wording import finding_json


def as_json(report: PowerReport) -> dict[str, Any]:
    """The report as plain data. Fields are stable; later versions only add."""
    watched = report.scan
    total_a = watched.loads.run_a.sum(axis=1)
    worst = report.worst_frame
    data: dict[str, Any] = {
        "house": watched.rig.house.name,
        "scheme": watched.show.scheme.name,
        "brightness": watched.brightness,
        "frames": watched.frames,
        "fps": watched.fps,
        "seconds": watched.seconds,
        "whole_period": watched.whole_period,
        "nameplate_a": report.nameplate_a,
        "peak_a": float(total_a[worst]),
        "peak_time_s": report.time_s(worst),
        "mean_a": float(total_a.mean()),
        "brightness_ceiling": report.ceiling and report.ceiling.brightness,
        "ceiling_limit": report.ceiling and report.ceiling.limit,
        "energy": {
            "dc_w_mean": watched.energy.dc_w_mean,
            "wall_w_mean": watched.energy.wall_w_mean,
            "idle_wall_w": watched.energy.idle_wall_w,
            "copper_w_mean": watched.energy.copper_w_mean,
        },
        "needs": [
            {
                "volts": need.volts,
                "peak_a": need.peak_a,
                "peak_time_s": report.time_s(need.peak_frame),
                "supply_a": need.supply_a,
                "supply_w": need.supply_w,
            }
            for need in watched.needs
        ],
        "supplies": [
            supply_json(use, report.time_s)
            | {"cause": cause and {"run": cause.run, "amps": cause.run_a, "layer": cause.layer}}
            for use, cause in zip(watched.supplies, report.causes, strict=True)
        ],
        "wires": [
            wire_json(use, short, report.time_s)
            for use, short in zip(watched.wires, watched.shorts, strict=True)
        ],
        "runs": [run_json(use, report.time_s) for use in watched.runs],
        "outputs": [refresh_json(each) for each in refreshes(watched.rig.house)],
        "data": [_margins(each, watched.rig.house) for each in report.data],
        "findings": [finding_json(each) for each in report.findings],
    }
    if report.at is not None:
        data["at"] = _instant(watched.rig, report.at)
    if report.study is not None:
        return with_study(data, report.study)
    return data if report.quick is None else with_quick(data, report.quick)


def supply_json(use: SupplyUse, time_s: Callable[[int], float]) -> dict[str, Any]:
    """One supply; `time_s` tells when a frame is shown [s]."""
    return {
        "name": use.supply.name,
        "volts": use.supply.volts,
        "rated_a": use.supply.rated_a,
        "nameplate_a": use.nameplate_a,
        "peak_a": use.peak_a,
        "peak_time_s": time_s(use.peak_frame),
        "mean_a": use.mean_a,
        "load": use.load,
    }


def wire_json(use: WireUse, short: Short | None, time_s: Callable[[int], float]) -> dict[str, Any]:
    """One wire, and the worst far short behind its fuse."""
    return {
        "from": use.wire.start.text,
        "to": use.wire.end.text,
        "wire": use.wire.size.name,
        "length_m": use.wire.length_m,
        "nameplate_a": use.nameplate_a,
        "peak_a": use.peak_a,
        "peak_time_s": time_s(use.peak_frame),
        "mean_a": use.mean_a,
        "fuse_a": use.wire.fuse_a,
        "ampacity_a": use.wire.size.ampacity_a,
        "short_a": None if short is None else short.amps,
        "short_at": None if short is None else short.where,
        "drop_v": use.drop_v,
    }


def run_json(use: RunUse, time_s: Callable[[int], float]) -> dict[str, Any]:
    """One run."""
    return {
        "name": use.run.name,
        "kind": use.run.kind.name,
        "pixels": use.run.present,
        "nameplate_a": use.nameplate_a,
        "peak_a": use.peak_a,
        "peak_time_s": time_s(use.peak_frame),
        "mean_a": use.mean_a,
        "min_v": use.min_v,
        "min_v_pixel": use.min_v_pixel,
        "min_v_time_s": time_s(use.min_v_frame),
        "drop": use.drop,
        "min_dim": use.min_dim,
    }


def _margins(each: OutputMargins, house: House) -> dict[str, Any]:
    """The least margins of one output, and the pixels they are into."""
    told = {"high": each.high, "low": each.low, "over": each.over, "under": each.under}
    return {
        "output": each.output.name,
        "logic_v": each.output.logic_v,
        **{f"{name}_v": least and least.volts for name, least in told.items()},
        **{f"{name}_at": least and pixel_name(house, least.pixel) for name, least in told.items()},
    }


def _instant(rig: Rig, at: Frame) -> dict[str, Any]:
    duty = at.codes / 255.0
    runs = {}
    for run in rig.house.runs:
        lit = [index for index, name in enumerate(CHANNELS) if run.kind.channel(name)]
        runs[run.name] = {
            "channels": [CHANNELS[index] for index in lit],
            "drive": duty[run.pixels][:, lit],
            "volts": at.volts[run.pixels],
            "amps": at.amps[run.pixels],
        }
    supplies = {
        supply.name: {"amps": float(current_a), "load": float(current_a) / supply.rated_a}
        for supply, current_a in zip(rig.house.supplies, at.supply_a, strict=True)
    }
    return {"time_s": float(at.time_s), "supplies": supplies, "runs": runs}


def csv_lines(report: PowerReport) -> list[str]:
    """One line a frame, after a line of names with units; see `totals_lines`."""
    watched = report.scan
    return totals_lines(watched.rig.house, watched.time_s, watched.loads)


def totals_lines(house: House, time_s: np.ndarray, loads: Loads) -> list[str]:
    """One line a frame, after a line of names with units."""
    return [totals_head(house), *totals_rows(time_s, loads)]


def totals_head(house: House) -> str:
    """Time, watts out of the supplies and lost in copper, amperes of each supply and run, and the
    least volts of each run."""
    names = ["time_s", "dc_w", "copper_w"]
    names += [f"supply {supply.name} [A]" for supply in house.supplies]
    names += [f"run {run.name} [A]" for run in house.runs]
    names += [f"run {run.name} least [V]" for run in house.runs]
    return csv_line(names).rstrip("\n")


def totals_rows(time_s: np.ndarray, loads: Loads) -> Iterator[str]:
    """One line a frame, under `totals_head`."""
    columns = np.column_stack(
        [time_s, loads.dc_w, loads.copper_w, loads.supply_a, loads.run_a, loads.run_v]
    )
    return (",".join(f"{value:.6g}" for value in row) for row in columns)
