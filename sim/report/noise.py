"""Noise and surge on the screen and as data: what is reckoned, and the checklist."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sim.report.blocks import Block, Listed, Table, columns, note, row, section, spans
from sim.report.wording import finding_json
from sim.upkeep.surge import Noise, surge_table


def noise_blocks(noise: Noise) -> Iterator[Block]:
    """The figures, then what a checklist says."""
    feeds = [
        row(
            each.wire.label,
            f"{each.inductance_h * 1e6:.1f} µH",
            f"{each.step_a:.1f} A",
            f"{each.dip_v:.2f} V",
            f"{each.bulk_dip_v:.2f} V",
        )
        for each in noise.feeds
    ]
    runs = [
        row(
            each.run,
            f"{each.headroom_v:.2f} V",
            f"{each.shift_v:.2f} V",
            "–" if each.clamp_ma is None else f"{each.clamp_ma:.0f} mA",
        )
        for each in noise.runs
    ]
    table = surge_table()
    yield section(
        "Noise, every channel switched on at once",
        Table(columns("feed", ">loop", ">step", ">dip", ">with 1000 µF"), tuple(feeds)),
        Table(columns("run", ">volts to spare", ">− rises", ">surge into data"), tuple(runs)),
        note(
            f"a supply's ripple, {1000 * noise.ripple_v:.0f} mV, and the dip come out of the volts"
            " to spare; pixels seldom switch together, and the wires' resistance damps"
        ),
    )
    yield section("Surge: what protection does", _listed(table["does"]))
    yield section("Surge: what it does not", _listed(table["does_not"]))
    yield section("Checklist", _listed(table["checklist"]))


def _listed(rows: list[dict[str, str]]) -> Listed:
    return Listed(tuple(spans(each["said"], (f"  {each['source']}", "quiet")) for each in rows))


def noise_json(noise: Noise) -> dict[str, Any]:
    """The same as plain data."""
    return {
        "feeds": [
            {
                "from": each.wire.start.text,
                "to": each.wire.end.text,
                "inductance_h": each.inductance_h,
                "step_a": each.step_a,
                "dip_v": each.dip_v,
                "bulk_dip_v": each.bulk_dip_v,
                "bulk_f": each.bulk_f,
            }
            for each in noise.feeds
        ],
        "runs": [vars(each) for each in noise.runs],
        "ripple_v": noise.ripple_v,
        "shift_limit_v": noise.shift_limit_v,
        "findings": [finding_json(each) for each in noise.findings],
        **{name: surge_table()[name] for name in ("does", "does_not", "checklist")},
    }
