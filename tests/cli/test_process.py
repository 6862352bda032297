"""The command as a process of its own: pipes, interrupts, displays, terminals without Unicode."""

import fcntl
import os
import signal
import subprocess
import sys
import time
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
COTTAGE = ROOT / "demo" / "cottage"
VERBS = [
    "demo",
    "new",
    "check",
    "list",
    "preview",
    "render",
    "power",
    "compare",
    "season",
    "handover",
]
VERBS += ["parts", "plan", "schema"]
EVENFALL = (sys.executable, "-m", "sim.cli.main")


def listening():
    """Ctrl-C counts, even where whoever runs the tests had it ignored (a job in the background)."""
    signal.signal(signal.SIGINT, signal.SIG_DFL)


def started(*arguments, **environment):
    """The running command; stdout and stderr are pipes."""
    inherited = {k: v for k, v in os.environ.items() if k not in ("DISPLAY", "WAYLAND_DISPLAY")}
    return subprocess.Popen(
        [*EVENFALL, *map(str, arguments)],
        cwd=ROOT,
        env=inherited | environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=listening,
    )


@pytest.mark.skipif(not hasattr(fcntl, "F_SETPIPE_SZ"), reason="pipes here have one size")
def test_a_reader_that_leaves_ends_it_quietly():
    with started("list", "materials", "--json") as process:
        # A pipe that held everything would let the command end before the reader leaves.
        fcntl.fcntl(process.stdout, fcntl.F_SETPIPE_SZ, 4096)
        assert process.stdout.readline() == "{\n"
        process.stdout.close()
        assert process.stderr.read() == ""
        assert process.wait() == -signal.SIGPIPE


def _own_s(pid: int) -> float:
    """[s] that a process was given so far (Linux: proc_pid_stat(5), fields 14 and 15)."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


@pytest.mark.parametrize(("stop", "status"), [("SIGINT", 130), ("SIGTERM", 143), ("SIGHUP", 129)])
def test_a_stop_ends_with_its_number(stop, status):
    schemes = sorted(COTTAGE.glob("*.scheme.yaml"))
    process = started("check", COTTAGE / "house.yaml", *schemes, "--seconds", "24h")
    end_s = time.monotonic() + 120
    while _own_s(process.pid) < 3 and time.monotonic() < end_s:  # its own time: others may run
        time.sleep(0.1)
    process.send_signal(getattr(signal, stop))
    output, errors = process.communicate(timeout=300)
    assert process.returncode == status
    assert output == ""
    assert errors.splitlines()[-1] == "stopped"
    assert "Traceback" not in errors


def test_no_display_is_one_line_that_says_what_to_run():
    process = started("preview", COTTAGE / "house.yaml", COTTAGE / "evening.scheme.yaml")
    output, errors = process.communicate(timeout=300)
    assert process.returncode == 2
    assert output == ""
    (line,) = errors.splitlines()
    assert "no display" in line
    assert "evenfall render" in line
    assert "evenfall demo --out" in line


def test_a_terminal_without_unicode_still_gets_its_report():
    process = started("list", "wires", PYTHONIOENCODING="ascii")
    output, errors = process.communicate(timeout=300)
    assert process.returncode == 0, errors
    assert "16 AWG" in output


def test_the_version_is_that_of_the_project():
    told = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    process = started("--version")
    output, errors = process.communicate(timeout=300)
    assert (process.returncode, errors) == (0, "")
    assert output == f"evenfall {told['project']['version']}\n"


@pytest.mark.parametrize("arguments", [(), ("--help",), ("-h",)])
def test_help(arguments):
    process = started(*arguments)
    output, errors = process.communicate(timeout=300)
    assert process.returncode == 0, errors
    for verb in VERBS:
        assert f" {verb} " in output
