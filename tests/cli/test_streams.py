"""Standard output that is full, narrow or knows no letters beyond ASCII."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from sim.cli.letters import ALIKE
from sim.report.terminal import load_bar

BARE = {"LC_ALL": "C", "PYTHONCOERCECLOCALE": "0", "PYTHONUTF8": "0", "PYTHONIOENCODING": ""}
MAIN = "import sys; from sim.cli.main import main; sys.argv[0] = 'evenfall'; main()"


def run(*arguments, stdout=subprocess.PIPE, **environment):
    return subprocess.run(
        [sys.executable, "-c", MAIN, *arguments],
        stdout=stdout,
        stderr=subprocess.PIPE,
        env=os.environ | environment,
        check=False,
    )


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
def test_a_full_disk_is_an_error():
    for call in (["list", "wires", "--json"], ["--help"]):
        with open("/dev/full", "wb") as full:
            done = run(*call, stdout=full)
        assert done.returncode == 2
        assert done.stderr.decode().strip() == "standard output: No space left on device"


@pytest.mark.parametrize("columns", ["0", "1"])
def test_no_terminal_is_too_narrow_for_a_report(columns):
    done = run("list", "wires", COLUMNS=columns)
    assert done.returncode == 0
    assert "24 A" in done.stdout.decode()


@pytest.mark.parametrize("call", [(), ("power", "-h")])
def test_help_is_never_too_narrow_for_names_of_options(call):
    narrow = run(*call, COLUMNS="30").stdout
    assert narrow == run(*call, COLUMNS="60").stdout
    names = ("--seconds", "--temperature") if "power" in call else ("--help", "diagnose")
    for name in names:
        assert name in narrow.decode()
    assert max(map(len, run(*call, COLUMNS="100").stdout.decode().split("\n"))) == 100


def test_json_is_exact_under_ascii():
    plain = run("list", "palettes", "--json", PYTHONIOENCODING="utf-8").stdout
    escaped = run("list", "palettes", "--json", PYTHONIOENCODING="ascii").stdout
    assert json.loads(escaped) == json.loads(plain)
    assert any(byte > 127 for byte in plain)
    assert all(byte < 128 for byte in escaped)


def closing(number, *call):
    """A process that has this descriptor closed."""
    return subprocess.run(
        [sys.executable, "-c", MAIN, *call],
        capture_output=True,
        preexec_fn=lambda: os.close(number),
        check=False,
    )


@pytest.mark.skipif(os.name != "posix", reason="numbers of streams are those of POSIX")
@pytest.mark.parametrize("call", [["list", "wires"], ["list", "wires", "--json"]])
def test_a_closed_standard_output_is_an_error(call):
    done = closing(1, *call)
    assert done.returncode == 2
    assert done.stderr.decode().strip() == "standard output: it is closed"


@pytest.mark.skipif(os.name != "posix", reason="numbers of streams are those of POSIX")
def test_with_stderr_closed_results_stay_pure():
    done = closing(2, "list", "wires", "--json")
    assert done.returncode == 0
    json.loads(done.stdout)


def test_a_terminal_of_ascii_has_likenesses_and_no_question_marks():
    done = run("list", "wires", **BARE)
    told = done.stdout.decode("ascii")
    assert "mm2" in told
    assert "Ohm/km" in told
    assert "20 degC" in told
    assert "?" not in told
    assert "9-16.5" in run("list", "kinds", **BARE).stdout.decode("ascii")


@pytest.mark.parametrize(
    ("letters", "encoding", "shown"),
    [
        ("loft → eave.start  −12.5 V", "ascii", b"loft -> eave.start  -12.5 V"),
        ("█████▏ ┆ ┃ 51 %", "ascii", b"#####  : | 51 %"),
        ("9–16.5 µF ± 2 °C …", "ascii", b"9-16.5 uF +- 2 degC ..."),
        ("1 kΩ, 1 kΩ, 3 mm²", "ascii", b"1 kOhm, 1 kOhm, 3 mm2"),
        ("Café 家 \udcff", "ascii", b"Caf? ? ?"),
        ("20 °C → é", "latin-1", "20 °C -> é".encode("latin-1")),
        ("20 °C → 家", "utf-8", "20 °C → 家".encode()),
    ],
)
def test_likenesses_stand_only_for_what_an_encoding_lacks(letters, encoding, shown):
    assert letters.encode(encoding, errors=ALIKE) == shown


def test_parts_of_a_bar_keep_their_cells():
    for share in (0.0, 0.07, 0.33, 0.51, 0.8, 1.0):
        bar = load_bar(share, 1.0, 20).plain
        assert len(bar.encode("ascii", errors=ALIKE)) == 20
        assert bar.encode("ascii", errors=ALIKE).count(b"#") == pytest.approx(bar.count("█"), abs=1)
