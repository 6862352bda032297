"""The verb diagnose: screen, JSON, refusals."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import pytest
from typer.testing import CliRunner

from sim.cli.main import app

COTTAGE = Path(__file__).parents[2] / "demo/cottage"
HOUSE, SEEN = COTTAGE / "house.yaml", COTTAGE / "after-the-storm.sightings.yaml"


def test_json() -> None:
    result = CliRunner().invoke(app, ["diagnose", str(HOUSE), str(SEEN), "--json"])
    assert result.exit_code == 0, result.output
    told = json.loads(result.stdout)
    assert {"causes", "next"} <= told.keys()
    first = told["causes"][0]
    assert {"fault", "probability", "explains"} <= first.keys()
    assert first["fault"]["kind"] == "dead"
    assert first["fault"]["position"] == 0
    assert {"test", "at", "gain_bits", "cost", "outcomes"} <= told["next"].keys()
    assert {"result", "probability"} == told["next"]["outcomes"][0].keys()
    total = sum(cause["probability"] for cause in told["causes"]) + told["none_of_these"]
    assert total == pytest.approx(1, abs=2e-3)


def test_screen_has_repair_and_cautions() -> None:
    result = CliRunner().invoke(app, ["diagnose", str(HOUSE), str(SEEN)])
    assert result.exit_code == 0
    for words in ("pixel 0 of gable is dead", "Next", "to have at hand", "unplug", "GFCI/RCD"):
        assert words in result.stdout


def test_what_a_test_is_worth_is_said_without_a_word_of_theory(monkeypatch) -> None:
    """As answers and minutes; the figures of the JSON stand behind."""
    monkeypatch.setenv("COLUMNS", "200")
    told = CliRunner().invoke(app, ["diagnose", str(HOUSE), str(SEEN)]).stdout
    plain = CliRunner().invoke(app, ["diagnose", str(HOUSE), str(SEEN), "--json"]).stdout
    data = json.loads(plain)
    assert f"worth {data['next']['gain_bits']:.1f} yes-or-no answers" in told
    assert f"of the {data['entropy_bits']:.1f} that it takes" in told
    assert f"about {data['next']['cost']:g} min" in told
    assert "bits" not in told


def test_refused_by_line_and_column(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text(
        "format: evenfall-sightings/1\nseen:\n  - {dark: 'gable[999]'}\n  - {watts: -5}\n"
    )
    result = CliRunner().invoke(app, ["diagnose", str(HOUSE), str(wrong)])
    assert result.exit_code == 2
    assert "3:12" in result.output
    assert "4:13" in result.output


@pytest.mark.parametrize(
    ("shape", "size"),
    [((640, 480), (640, 480)), ((540, 720), (1280, 720))],  # words have no room in an upright one
)
def test_without_a_size_it_has_the_shape_of_the_photograph(
    tmp_path: Path, monkeypatch, shape: tuple[int, int], size: tuple[int, int]
) -> None:
    """What that shape is stands in tests/light/test_photo_shape.py."""
    monkeypatch.setattr("sim.light.photo_shape.usual_size", lambda house: shape)
    out = tmp_path / "a.png"
    result = CliRunner().invoke(app, ["diagnose", str(HOUSE), str(SEEN), "--out", str(out)])
    assert result.exit_code == 0, result.output
    assert struct.unpack(">II", out.read_bytes()[16:24]) == size
