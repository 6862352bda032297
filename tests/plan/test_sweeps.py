"""Sweeps: what is done is not done again, what is wrong is a line, and a stop loses nothing."""

import json
import os
import signal
import subprocess
import sys
import textwrap
import time
from importlib.util import find_spec
from pathlib import Path

import pytest
from typer.testing import CliRunner

from layouts.errors import EvenfallError
from sim.cli.main import app
from sim.cli.plan_options import sorted_files
from sim.report import plan_sweep
from sim.report.plan_sweep import Job, jobs_of, results_in, sweep
from sim.report.plan_sweep_text import by_price, sweep_blocks

from .shed import HOUSE, write_shed

KINDS = ("sk6812", "ws2811-12v-group3")
#: What of a line does not depend on where it was worked out.
FIGURES = ("kind", "status", "price", "feeds", "supplies", "peak_a", "lower_bound", "kwh_year")


@pytest.fixture
def house(tmp_path):
    return write_shed(tmp_path)


@pytest.fixture
def counted(monkeypatch):
    """Jobs that were worked out in this process."""
    seen = []
    real = plan_sweep.result_of

    def count(job, key):
        seen.append((Path(job.house).name, job.kind))
        return real(job, key)

    monkeypatch.setattr(plan_sweep, "result_of", count)
    return seen


def jobs(*houses, kinds=KINDS, densities=()):
    return jobs_of([str(each) for each in houses], kinds, densities, Job("", ""))


def test_what_is_done_is_not_done_again(house, tmp_path, counted):
    out = tmp_path / "sweep.jsonl"
    first = sweep(jobs(house), out, workers=1)
    assert counted == [("house.yaml", kind) for kind in KINDS]
    before = out.read_bytes()
    assert sweep(jobs(house), out, workers=1) == first
    assert len(counted) == 2
    assert out.read_bytes() == before
    house.write_text(HOUSE.replace("[2, 2]", "[1.5, 2]"))
    changed = sweep(jobs(house), out, workers=1)
    assert len(counted) == 4
    assert changed[0]["peak_a"] == pytest.approx(0.75 * first[0]["peak_a"], rel=1e-6)
    assert len(results_in(out)) == 4  # what the old file came to is kept


def test_a_new_price_or_load_is_a_new_result(house, tmp_path, counted):
    one = jobs(house, kinds=KINDS[:1])
    out = tmp_path / "sweep.jsonl"
    (cheap,) = sweep(one, out, workers=1)
    parts = house.with_name("parts.yaml")
    parts.write_text(parts.read_text().replace("price: 49", "price: 59"))
    (dear,) = sweep(one, out, workers=1)
    assert dear["price"] == pytest.approx(cheap["price"] + 10)
    (half,) = sweep(jobs_of([str(house)], KINDS[:1], (), Job("", "", brightness=0.5)), out,
                    workers=1)  # fmt: skip
    assert half["peak_a"] < 0.6 * dear["peak_a"]
    assert len(counted) == 3


def test_what_cannot_be_read_or_planned_is_a_line_and_no_end(house, tmp_path, counted):
    broken = tmp_path / "broken.yaml"
    broken.write_text("format: evenfall-house/1\nname: 5\nruns: none\n")
    nowhere = tmp_path / "nowhere.yaml"
    dry = tmp_path / "dry.yaml"
    dry.write_text(HOUSE.replace("mains: true", "mains: false"))
    out = tmp_path / "sweep.jsonl"
    lines = sweep(jobs(broken, nowhere, dry, house, kinds=("sk6812", "sk6813")), out, workers=1)
    status = {(Path(each["house"]).stem, each["kind"]): each["status"] for each in lines}
    assert status.pop(("house", "sk6812")) in ("optimal", "bounded")
    assert status.pop(("dry", "sk6812")) == "infeasible"
    assert set(status.values()) == {"unreadable"}
    why = {(Path(each["house"]).stem, each["kind"]): each["why"] for each in lines}
    assert "broken.yaml:" in why["broken", "sk6812"]
    assert "mains" in why["dry", "sk6812"]
    assert "unknown kind 'sk6813'" in why["house", "sk6813"]
    # What could not be read is tried again: another file may have been what was wrong.
    count = len(counted)
    sweep(jobs(broken, dry, kinds=("sk6812",)), out, workers=1)
    assert counted[count:] == [("broken.yaml", "sk6812")]


def test_a_mistake_of_ours_is_a_line_too(house, tmp_path, monkeypatch):
    def fails(job):
        raise ZeroDivisionError("on purpose")

    monkeypatch.setattr(plan_sweep, "_option", fails)
    (line,) = sweep(jobs(house, kinds=KINDS[:1]), tmp_path / "sweep.jsonl", workers=1)
    assert line["status"] == "broken"
    assert "ZeroDivisionError" in line["why"]


def test_a_line_torn_by_a_stop_is_done_again(house, tmp_path, counted):
    out = tmp_path / "sweep.jsonl"
    whole = sweep(jobs(house), out, workers=1)
    out.write_bytes(out.read_bytes()[:-40])
    assert sweep(jobs(house), out, workers=1) == whole
    assert len(counted) == 3
    assert sweep(jobs(house), out, workers=1) == whole
    assert len(counted) == 3


def test_a_file_that_is_no_sweep_is_left_alone(house, tmp_path):
    out = tmp_path / "notes.jsonl"
    out.write_text('{"a": 1}\nmy notes\n')
    with pytest.raises(EvenfallError, match=r"notes\.jsonl:1:1: no line of a sweep"):
        sweep(jobs(house), out, workers=1)
    assert out.read_text() == '{"a": 1}\nmy notes\n'


def test_finished_results_are_kept_when_it_is_interrupted(house, tmp_path, counted):
    out = tmp_path / "sweep.jsonl"

    def stop(done, total):
        if done == 1:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        sweep(jobs(house), out, workers=1, progress=stop)
    assert len(results_in(out)) == 1
    sweep(jobs(house), out, workers=1)
    assert len(results_in(out)) == 2
    assert len(set(counted)) == len(counted) == 2


def test_ctrl_c_ends_with_130_and_the_same_command_goes_on(house, tmp_path):
    out = tmp_path / "sweep.jsonl"
    command = [sys.executable, "-m", "sim.cli.main", "plan", str(house), "--out", str(out)]
    command += ["--kinds", "sk6812", "ws2815", "ws2811-12v-group3"]
    command += [word for each in (20, 30, 40, 60) for word in ("--density", str(each))]
    going = subprocess.Popen(
        command,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        # Ctrl-C counts, even where whoever runs the tests had it ignored.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    waited = time.monotonic()
    while not (out.exists() and out.read_text().count("\n")):
        assert going.poll() is None, going.communicate()[1]
        assert time.monotonic() - waited < 300
        time.sleep(0.02)
    going.send_signal(signal.SIGINT)
    _, told = going.communicate(timeout=300)
    kept = out.read_text().count("\n")
    assert going.returncode == 130, told
    assert f"keeps {kept} results" in told
    assert "Traceback" not in told
    assert 1 <= kept < 12
    again = subprocess.run(command, capture_output=True, text=True, timeout=300)
    assert again.returncode == 0, again.stderr
    assert f"holds {kept} results" in again.stderr
    assert len(results_in(out)) == 12
    assert "12 options" in again.stdout


def test_two_cores_say_what_one_says(house, tmp_path):
    alone = sweep(jobs(house, densities=(30.0, 60.0)), workers=1)
    both = sweep(jobs(house, densities=(30.0, 60.0)), tmp_path / "sweep.jsonl", workers=2)
    assert _figures(both) == _figures(alone)
    assert [each["density"] for each in both] == [30.0, 60.0] * 2


@pytest.mark.outside
@pytest.mark.skipif(
    find_spec("distributed") is None and not os.environ.get("CI"),
    reason="needs dask[distributed]: pip install -e '.[test]'",
)
def test_a_cluster_of_two_workers_says_what_one_core_says(house, tmp_path):
    # In processes of their own, by the commands that a cluster is started with.
    script = tmp_path / "cluster.py"
    script.write_text(
        textwrap.dedent("""
        import sys
        from distributed import LocalCluster
        if __name__ == "__main__":
            with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as two:
                print(two.scheduler_address, flush=True)
                sys.stdin.read()
        """)
    )
    going = subprocess.Popen(
        [sys.executable, str(script)], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    try:
        address = going.stdout.readline().strip()
        assert address.startswith("tcp://")
        out = tmp_path / "sweep.jsonl"
        lines = sweep(jobs(house), out, cluster=address)
        assert len(results_in(out)) == 2
    finally:
        going.communicate("", timeout=300)
    assert _figures(lines) == _figures(sweep(jobs(house), workers=1))


def test_no_scheduler_at_the_address_is_said(house):
    if find_spec("distributed") is None:
        pytest.skip("needs dask[distributed]: pip install -e '.[test]'")
    with pytest.raises(EvenfallError, match="no Dask scheduler answers at nonsense"):
        sweep(jobs(house), cluster="nonsense://here")


def test_the_cheapest_comes_first_and_what_cannot_be_built_last(house, tmp_path):
    nowhere = tmp_path / "nowhere.yaml"
    lines = sweep(jobs(house, nowhere, kinds=(*KINDS, "sk6812-rgbw-warm")), workers=1)
    ordered = by_price(lines)
    assert [each["status"] for each in ordered[-3:]] == ["unreadable"] * 3
    assert ordered[2]["kind"] == "sk6812-rgbw-warm"  # the parts file has no price for it
    assert ordered[0]["price"] < ordered[1]["price"]
    told = json.dumps(repr(list(sweep_blocks(lines))))
    for said in ("cannot be read", "nowhere", "Mains work"):
        assert said in told


def _figures(lines):
    return [{name: each[name] for name in FIGURES} for each in lines]


def test_files_are_told_apart_by_their_format(house, tmp_path, capsys):
    scheme = tmp_path / "still.scheme.yaml"
    scheme.write_text("format: evenfall-scheme/1\n")
    odd = tmp_path / "odd.yaml"
    odd.write_text("name: says nothing of what it is\n")
    found = sorted_files([house, scheme, house.with_name("parts.yaml"), odd])
    assert found == ([house, odd], [scheme])
    assert "parts.yaml is a file of parts: left out" in capsys.readouterr().err


def test_the_verb_plans_options_and_writes_none_of_them(house):
    before = house.read_bytes()
    run = CliRunner().invoke(app, ["plan", str(house), "--kinds", *KINDS, "--json"])
    assert run.exit_code == 0, run.output
    made = json.loads(run.stdout)["options"]
    assert [each["kind"] for each in made] == list(KINDS)
    refused = CliRunner().invoke(app, ["plan", str(house), "--kinds", *KINDS, "--write"])
    assert refused.exit_code == 2
    assert "--write takes one plan" in refused.output
    assert house.read_bytes() == before
