"""`evenfall fault`: the broken house told, drawn and as JSON."""

import json
import struct

import pytest

FAULTS = """\
format: evenfall-faults/1
faults:
"""


@pytest.fixture
def faults(tmp_path):
    """faults(*lines) writes a faults file and gives its path."""

    def write(*lines):
        path = tmp_path / "broken.yaml"
        path.write_text(FAULTS + "".join(f"  - {line}\n" for line in lines), encoding="utf-8")
        return path

    return write


@pytest.fixture
def steady(scheme):
    """Every pixel lit."""
    text = scheme.read_text(encoding="utf-8").replace("effect: chase", "effect: steady")
    text = text.replace(", set: {speed: 0.4}", "").replace('["#ff8000", "#00ff40"]', '["#ff8000"]')
    scheme.write_text(text, encoding="utf-8")
    return scheme


def test_json(run, house, steady, faults):
    done = run("fault", house, steady, faults('{dead: "eave[50]"}'), "--json")
    assert done.exit_code == 0, done.stderr
    told = json.loads(done.stdout)
    assert told["dark"] == ["eave[50:120]"]
    assert told["dark_pixels"] == 70
    assert told["faults"][0]["label"] == "pixel 50 of eave is dead"
    assert told["supplies"][0]["amps"] < told["supplies"][0]["sound_a"]


def test_words_and_cautions(run, house, steady, faults):
    done = run("fault", house, steady, faults('{short: "eave[10]", ohm: 0.01}'))
    assert done.exit_code == 1
    assert "+ and − touch at pixel 10 of eave" in done.stdout
    # 12 A · 1.1 is less than twice the fuse of 7.5 A: the supply gives up first
    assert "supply-trips" in done.stdout
    assert "Unplug the supply before you open a box" in " ".join(done.stdout.split())


def test_a_picture(run, house, steady, faults, tmp_path):
    out = tmp_path / "a.png"
    broken = faults('{dark: "eave[3]"}')
    done = run("fault", house, steady, broken, "--out", out, "--size", "160x90")
    assert done.exit_code == 0, done.stderr
    assert out.read_bytes().startswith(b"\x89PNG")
    done = run("fault", house, steady, broken, "--out", out, "--size", "160x90", "--beside")
    assert done.exit_code == 0, done.stderr
    wide, high = struct.unpack(">II", out.read_bytes()[16:24])  # of the PNG's head
    assert wide == 2 * 160 + 4
    assert high > 90
    assert run("fault", house, steady, broken, "--beside").exit_code == 2
    again = run("fault", house, steady, broken, "--out", broken)
    assert again.exit_code == 2


def test_a_wrong_file(run, house, steady, faults):
    done = run("fault", house, steady, faults('{dead: "eaves[50]"}', "{off: bax}"))
    assert done.exit_code == 2
    assert "broken.yaml:3:12: unknown run 'eaves'; did you mean 'eave'?" in done.stderr
    assert "broken.yaml:4:11: unknown supply 'bax'; did you mean 'box'?" in done.stderr
    assert "Traceback" not in done.stderr


def test_without_a_size_it_has_the_shape_of_the_photograph(
    run, house, steady, faults, tmp_path, monkeypatch
):
    """What that shape is stands in tests/light/test_photo_shape.py."""
    monkeypatch.setattr("sim.light.photo_shape.usual_size", lambda house: (96, 72))
    out = tmp_path / "a.png"
    done = run("fault", house, steady, faults('{dark: "eave[3]"}'), "--out", out)
    assert done.exit_code == 0, done.stderr
    assert struct.unpack(">II", out.read_bytes()[16:24]) == (96, 72)
