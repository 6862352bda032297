"""Times, sizes, progress and JSON as every verb handles them."""

import json
import time

import numpy as np
import pytest
import typer

from sim.cli.common import parse_size_px, parse_time_s, print_json, progress
from sim.report.text import clock


@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("3s", 3.0),
        ("3", 3.0),
        ("0.5", 0.5),
        (".5s", 0.5),
        ("250 ms", 0.25),
        ("1m20s", 80.0),
        ("1m 20s", 80.0),
        ("2min", 120.0),
        ("1h03m20.5s", 3800.5),
        (" 7 s ", 7.0),
    ],
)
def test_times_are_read_as_people_write_them(text, seconds):
    assert parse_time_s(text) == pytest.approx(seconds)


@pytest.mark.parametrize("text", ["", "s", "-3s", "3 weeks", "1m20", "nan", "inf", "1e3", "3s!"])
def test_what_is_no_time_is_refused(text):
    with pytest.raises(typer.BadParameter, match="write 3s, 1m20s or 250ms"):
        parse_time_s(text)


@pytest.mark.parametrize("seconds", [0.0, 0.025, 12.4, 59.999, 60.0, 72.025, 3600.0, 3700.025])
def test_a_time_in_a_report_can_be_given_back(seconds):
    assert parse_time_s(clock(seconds)) == pytest.approx(seconds)


def test_sizes():
    assert parse_size_px("1280x720") == (1280, 720)
    assert parse_size_px("1280 × 720") == (1280, 720)


@pytest.mark.parametrize("text", ["1280", "x", "0x0", "8x8", "99999x10", "-1280x720"])
def test_what_is_no_size_is_refused(text):
    with pytest.raises(typer.BadParameter):
        parse_size_px(text)


def test_json_takes_numpy_and_refuses_what_is_no_number(capsys):
    print_json({"a": np.float32(1.5), "b": np.arange(3), "c": None, "d": "µ →"})
    assert json.loads(capsys.readouterr().out) == {"a": 1.5, "b": [0, 1, 2], "c": None, "d": "µ →"}
    with pytest.raises(ValueError, match="JSON"):
        print_json({"a": float("nan")})


def test_progress_draws_nothing_on_stdout_or_off_a_terminal(capsys):
    with progress("counting", after_s=0.0) as report:
        for done in range(3):
            time.sleep(0.001)
            report(done, 3)
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err.strip() == ""
