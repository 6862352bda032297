"""Findings about kinds, and about the tracks that pixels are pushed into."""

from typing import Any

import pytest

from layouts import Finding, house_findings, house_from
from sim.report.wording import sentence

OURS = {
    "supply-above-max", "trim-above-max", "lit-without-data", "levels-unused", "track-pitch",
    "bar-pitch",
}  # fmt: skip


def found(kind: str, supply: dict[str, Any] | None = None, **run: Any) -> list[Finding]:
    path = [[0, 3], [run.pop("length", 1), 3]]
    house = house_from(
        {
            "name": "t",
            "drawing": {"size": [20, 5]},
            "runs": [{"name": "a", "pixels": kind, "path": path, **run}],
            "supplies": [{"name": "box", "amps": 10, **(supply or {"volts": 12})}],
            "wires": [
                {"from": "box", "to": "a.start", "wire": "14 AWG", "length": 1, "fuse": 10},
            ],
        }
    )
    return [each for each in house_findings(house) if each.code in OURS]


@pytest.mark.parametrize(
    ("kind", "volts", "adjust_v", "codes"),
    # An enclosed family: 4.5–5.5, 10.2–13.8, 21.6–28.8 V; WS2813 bears 5.3, WS2815 13.5 V (sheets).
    [
        ("ws2813", 5.3, None, []),
        ("ws2813", 5.31, None, ["supply-above-max"]),
        ("ws2813", 5.0, [4.5, 5.5], ["trim-above-max"]),
        ("sk6812", 5.0, [4.5, 5.5], []),
        ("ws2815", 12.0, [10.2, 13.8], ["trim-above-max"]),
        ("ws2815", 12.0, [10.2, 13.2], []),
        ("ws2811-24v-group6", 24.0, [21.6, 28.8], ["trim-above-max"]),
    ],
)
def test_more_volts_than_a_kind_bears(
    kind: str, volts: float, adjust_v: list[float] | None, codes: list[str]
) -> None:
    supply = {"volts": volts, **({"adjust_v": adjust_v} if adjust_v else {})}
    assert [each.code for each in found(kind, supply)] == codes


def test_the_words_of_too_many_volts() -> None:
    (only,) = found("ws2813", {"volts": 5.4})
    assert (only.level, only.value, only.limit) == ("danger", 5.4, 5.3)
    assert sentence(only) == (
        "supply box gives 5.4 V, ws2813 pixels of run a bear at most 5.3 V; set the supply lower,"
        " before they are connected"
    )
    (only,) = found("ws2813", {"volts": 5, "adjust_v": [4.5, 5.5]})
    assert only.level == "note"
    assert "can be trimmed up to 5.5 V" in sentence(only)


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("ucs1903-12v-group3", "shine blue"),
        ("gs8208", "run a pattern of their own"),
        ("sk9822", "may light up"),
    ],
)
def test_parts_that_light_by_themselves(kind: str, words: str) -> None:
    (only,) = found(kind, {"volts": 5 if kind == "sk9822" else 12})
    assert (only.level, only.code) == ("note", "lit-without-data")
    assert words in sentence(only)


def test_sixteen_bits_are_not_used() -> None:
    (only,) = found("ws2816b", {"volts": 5})
    assert only.code == "levels-unused"
    assert "take 65,536 steps a channel" in sentence(only)


@pytest.mark.parametrize(
    ("profile", "count", "codes"),
    [
        ("track-100mm", None, []),
        ("track-50mm", None, []),  # every second hole
        ("track-4in", None, ["track-pitch"]),  # 101.6 mm
        ("track-150mm", None, ["track-pitch"]),
        ("track-150mm", 13, []),  # 1.95 m: put 150 mm apart
        ("channel-deep-clear", None, []),
        ("trim-drilled", None, []),
    ],
)
def test_holes_and_nodes(profile: str, count: int | None, codes: list[str]) -> None:
    length = 1.95 if count else 2
    given = {} if count is None else {"count": count}
    made = found("bullet-5v", {"volts": 5}, profile=profile, length=length, **given)
    assert [each.code for each in made] == codes


def test_twelve_inches_are_not_300_mm() -> None:
    # 4.8 mm a node: one whole pitch in 62
    (only,) = found("bullet-12v-linear", profile="track-300mm", length=9.144, count=30)
    assert only.code == "track-pitch"
    assert (only.value, only.limit) == (pytest.approx(0.3048), pytest.approx(0.3))
    assert sentence(only).startswith("the pixels of run a are 304.8 mm apart, the holes of")


def test_bars_of_whole_pitches() -> None:
    # 2.4 m: 24 × 100, 16 × 150; 3.66 m is no whole number of 100 mm, 36 are 3.6 m
    drilled = {"profile": "trim-drilled", "length": 6.0}
    (only,) = found("bullet-5v", {"volts": 5}, **drilled)
    assert (only.code, only.level) == ("bar-pitch", "note")
    assert only.limit == pytest.approx(3.6)
    assert found("bullet-5v", {"volts": 5}, profile="eave-track", length=6.0) == []
    assert found("bullet-5v", {"volts": 5}, profile="track-100mm", length=6.0) == []


def test_drilled_bars_hold_whole_numbers_of_their_holes() -> None:
    from layouts import profiles

    drilled = [each for each in profiles().values() if each.hole_pitch_mm is not None]
    assert len(drilled) == 12
    for each in drilled:
        assert each.bar_m is not None
        pitches = each.bar_m * 1000 / (each.hole_pitch_mm or 1)
        assert pitches == pytest.approx(round(pitches), abs=0.02)
