"""`evenfall new --dialogue`: what it begins with, refuses before a window opens, and writes."""

from __future__ import annotations

from pathlib import Path

import pytest

from layouts.forms.typed import measures_of

WRITTEN = {"house.yaml", "evening.scheme.yaml", "holiday.scheme.yaml"}


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple]:
    """A person who takes what the dialogue begins with; what it was opened with is kept."""
    met: list[tuple] = []

    def person(folder, units, given, *, lit, write):
        met.append((units, dict(given), lit))
        return write(measures_of({"form": "gable", "width": "9 m", **given}, units, lit=lit))

    monkeypatch.setattr("sim.cli.new_dialogue.has_display", lambda: True)
    monkeypatch.setattr("sim.app.dialogue.run_dialogue", person)
    monkeypatch.setattr("sim.cli.new_dialogue.show", lambda written: met.append(tuple(written)))
    return met


def test_flags_are_what_it_begins_with(run, tmp_path: Path, asked: list[tuple]) -> None:
    call = ["--dialogue", "--form", "hip", "--width", "40 ft", "--dark"]
    made = run("new", tmp_path / "a", *call)
    assert made.exit_code == 0, made.stderr
    assert asked[0] == ("ft", {"form": "hip", "width": "40 ft"}, False)
    assert (
        {path.name for path in asked[1]} == WRITTEN == {f.name for f in (tmp_path / "a").iterdir()}
    )
    # the same flags without the window write the same house
    assert run("new", tmp_path / "b", *call[1:]).exit_code == 0
    for name in WRITTEN:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b" / name).read_bytes()


def test_it_needs_no_flag_at_all(run, tmp_path: Path, asked: list[tuple]) -> None:
    assert run("new", tmp_path / "a", "--dialogue").exit_code == 0
    assert asked[0] == ("m", {}, True)


def test_leaving_leaves_nothing(
    run, tmp_path: Path, asked: list[tuple], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sim.app.dialogue.run_dialogue", lambda *_, **__: None)
    left = run("new", tmp_path / "a", "--dialogue")
    assert left.exit_code == 0
    assert not (tmp_path / "a").exists()
    assert asked == []  # no window opens on a house that is not there


@pytest.mark.parametrize(
    ("flags", "told"),
    [
        (["--photo", "a.png"], "a house comes from one of them"),
        (["--set", "width=9 m"], "--set"),
        (["--units", "yd"], "'yd' is no unit"),
    ],
)
def test_what_does_not_go_with_it(
    run, tmp_path: Path, asked: list[tuple], flags: list[str], told: str
) -> None:
    refused = run("new", tmp_path / "a", "--dialogue", *flags)
    assert refused.exit_code == 2
    assert told in refused.stderr
    assert asked == []


def test_a_house_that_is_there_is_told_before_anything_is_measured(
    run, tmp_path: Path, asked: list[tuple]
) -> None:
    (tmp_path / "holiday.scheme.yaml").write_text("mine")
    refused = run("new", tmp_path, "--dialogue")
    assert refused.exit_code == 2
    assert "already there" in refused.stderr
    assert asked == []


def test_without_a_display_it_says_how_to_do_without(
    run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("sim.cli.new_dialogue.has_display", lambda: False)
    refused = run("new", tmp_path / "a", "--dialogue")
    assert refused.exit_code == 2
    assert "evenfall new DIR --form" in refused.stderr
    assert not (tmp_path / "a").exists()
