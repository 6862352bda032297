"""A mistake of ours is never taken for a finding: status 3, a few plain lines, no traceback."""

import subprocess
import sys

import pytest

#: Errors that a mistake can raise; SystemError has no message of its own.
MISTAKES = [KeyError("nothing"), ZeroDivisionError("division by zero"), AssertionError(),
            RecursionError("too deep"), MemoryError(), ValueError("embedded null byte"),
            UnicodeDecodeError("utf-8", b"\xff", 0, 1, "no text")]  # fmt: skip


@pytest.mark.parametrize("mistake", MISTAKES, ids=lambda error: type(error).__name__)
def test_a_mistake_of_ours_ends_with_3(run, house, scheme, monkeypatch, mistake):
    def broken(*_, **__):
        raise mistake

    monkeypatch.setattr("sim.report.power.power_report", broken)
    result = run("power", house, scheme, "--json")
    assert result.exit_code == 3
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    lines = result.stderr.strip().splitlines()
    assert f"a mistake of evenfall itself: {type(mistake).__name__}" in lines[-3]
    assert "test_internal_errors.py:" in lines[-3]
    assert "please report" in lines[-2]
    assert "EVENFALL_TRACEBACK=1" in lines[-1]


def test_the_traceback_on_request(run, house, scheme, monkeypatch):
    def broken(*_, **__):
        raise KeyError("nothing")

    monkeypatch.setattr("sim.report.power.power_report", broken)
    monkeypatch.setenv("EVENFALL_TRACEBACK", "1")
    result = run("power", house, scheme)
    assert result.exit_code == 3
    assert "Traceback" in result.stderr


def test_dangers_still_end_with_1_and_refusals_with_2(run, house, scheme):
    thin = house.read_text(encoding="utf-8").replace("fuse: 7.5", "fuse: 60")
    house.write_text(thin, encoding="utf-8")
    assert run("check", house, scheme).exit_code == 1
    assert run("check", house, scheme, scheme.parent / "no.yaml").exit_code == 2


def test_a_nul_in_an_argument_is_one_line(run, house):
    for call in (["check", "a\0b.yaml"], ["new", "a\0b"], ["power", house, "x\0", "--csv", "y"]):
        result = run(*call)
        assert result.exit_code == 2
        (line,) = result.stderr.strip().splitlines()
        assert "a name cannot hold the character NUL" in line


def test_as_a_process_too():
    code = "import sim.report.listing as it; it.list_blocks = None; "
    code += "from sim.cli.main import main; import sys; sys.argv = ['evenfall', 'list', 'wires']; "
    done = subprocess.run(
        [sys.executable, "-c", code + "main()"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 3
    assert "TypeError" in done.stderr
    assert "Traceback" not in done.stderr
