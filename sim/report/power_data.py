"""The power report as data: JSON, and the totals of every frame as CSV."""

from __future__ import annotations

from typing import Any

import numpy as np

from layouts.records import CHANNELS, House
from sim.frame import Frame, Rig
from sim.upkeep.margins import OutputMargins

from .power import PowerReport
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
            {
                "name": use.supply.name,
                "volts": use.supply.volts,
                "rated_a": use.supply.rated_a,
                "nameplate_a": use.nameplate_a,
                "peak_a": use.peak_a,
                "peak_time_s": report.time_s(use.peak_frame),
                "mean_a": use.mean_a,
                "load": use.load,
                "cause": cause and {"run": cause.run, "amps": cause.run_a, "layer": cause.layer},
            }
            for use, cause in zip(watched.supplies, report.causes, strict=True)
        ],
        "wires": [
            {
                "from": use.wire.start.text,
                "to": use.wire.end.text,
                "wire": use.wire.size.name,
                "length_m": use.wire.length_m,
                "nameplate_a": use.nameplate_a,
                "peak_a": use.peak_a,
                "peak_time_s": report.time_s(use.peak_frame),
                "mean_a": use.mean_a,
                "fuse_a": use.wire.fuse_a,
                "ampacity_a": use.wire.size.ampacity_a,
                "short_a": None if short is None else short.amps,
                "short_at": None if short is None else short.where,
                "drop_v": use.drop_v,
            }
            for use, short in zip(watched.wires, watched.shorts, strict=True)
        ],
        "runs": [
            {
                "name": use.run.name,
                "kind": use.run.kind.name,
                "pixels": use.run.count,
                "nameplate_a": use.nameplate_a,
                "peak_a": use.peak_a,
                "peak_time_s": report.time_s(use.peak_frame),
                "mean_a": use.mean_a,
                "min_v": use.min_v,
                "min_v_pixel": use.min_v_pixel,
                "min_v_time_s": report.time_s(use.min_v_frame),
                "drop": use.drop,
                "min_dim": use.min_dim,
            }
            for use in watched.runs
        ],
        "data": [_margins(each, watched.rig.house) for each in report.data],
        "findings": [finding_json(each) for each in report.findings],
    }
    if report.at is not None:
        data["at"] = _instant(watched.rig, report.at)
    return data


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
    """One line a frame, after a line of names with units.

    Time, watts out of the supplies and lost in copper, amperes of each supply and run, and the
    least volts of each run.
    """
    watched = report.scan
    loads = watched.loads
    names = ["time_s", "dc_w", "copper_w"]
    names += [f"supply {use.supply.name} [A]" for use in watched.supplies]
    names += [f"run {use.run.name} [A]" for use in watched.runs]
    names += [f"run {use.run.name} least [V]" for use in watched.runs]
    columns = np.column_stack(
        [watched.time_s, loads.dc_w, loads.copper_w, loads.supply_a, loads.run_a, loads.run_v]
    )
    quoted = ",".join(f'"{name}"' if set(name) & set(',"\n') else name for name in names)
    return [quoted, *(",".join(f"{value:.6g}" for value in row) for row in columns)]
