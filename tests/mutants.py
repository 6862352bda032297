"""Changes the code in small ways and counts how many changes the tests notice.

`.venv/bin/python tests/mutants.py --count 20 --seed 1` tries so many changes of each package, drawn
by the seed; `--only effects` those of one. cosmic-ray (the extra `dev`) makes the changes, in a
copy of the tree. Kernels run as plain Python (NUMBA_DISABLE_JIT), so that a change of one needs no
compilation and its lines count like all others; those of the circuit, made of instructions that
only compiled code has, and of light are compiled anew for every change. A change that no test
noticed is printed; some change nothing that could be noticed.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import sqlite3
import subprocess
import sys
import tempfile
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
#: Where the code is, and quick tests of it.
PACKAGES = {
    "circuit": ("sim/circuit", "tests/circuit --ignore=tests/circuit/ngspice tests/test_scan.py"),
    "colour": ("sim/colour", "tests/colour"),
    "light": ("sim/light", "tests/light --ignore=tests/light/test_film_memory.py"),
    "effects": ("effects", "tests/effects/test_contract.py tests/effects/test_fields.py"
                " tests/effects/test_palettes.py tests/effects/test_noise.py"
                " tests/effects/test_scheme.py tests/effects/test_engine.py"
                " tests/effects/test_travel.py tests/effects/test_any_input.py"
                " tests/effects/test_colours.py tests/effects/test_place.py"),
}  # fmt: skip
#: What cannot run as plain Python, or takes minutes to.
COMPILED = ("circuit", "light")
SECONDS = 400  # a change that makes the tests run so long has been noticed


def tried(name: str, count: int, seed: int, tree: Path) -> tuple[int, list[str]]:
    """How many changes of a package were tried, and the differences that no test noticed."""
    code, tests = PACKAGES[name]
    session, config = tree / f"{name}.sqlite", tree / f"{name}.toml"
    python = f"{sys.executable} -m pytest -x -q -n 0 -p no:cacheprovider {tests}"
    config.write_text(
        f'[cosmic-ray]\nmodule-path = "{code}"\ntimeout = {SECONDS}.0\nexcluded-modules = []\n'
        f"test-command = {json.dumps(python)}\n[cosmic-ray.distributor]\nname = 'local'\n",
        encoding="utf-8",
    )
    environment = {
        **os.environ, "NUMBA_DISABLE_JIT": "0" if name in COMPILED else "1",
        "PYTHONDONTWRITEBYTECODE": "1", "PYTHONPATH": str(tree), "OMP_NUM_THREADS": "1",
    }  # fmt: skip

    def ray(*words: object) -> None:
        call = [str(Path(sys.executable).with_name("cosmic-ray")), *map(str, words)]
        subprocess.run(call, cwd=tree, env=environment, check=True, stdout=subprocess.DEVNULL)

    ray("init", config, session)
    ray("baseline", config)  # the tests have to be green before anything is changed
    with sqlite3.connect(session) as base:
        jobs = sorted(base.execute(
            "select module_path, start_pos_row, start_pos_col, operator_name, occurrence, job_id "
            "from mutation_specs"
        ))  # fmt: skip
        drawn = random.Random(seed).sample(jobs, min(count, len(jobs)))
        keep = {each[-1] for each in drawn}
        for *_, job in jobs:
            if job not in keep:
                base.execute("delete from mutation_specs where job_id = ?", (job,))
                base.execute("delete from work_items where job_id = ?", (job,))
    ray("exec", config, session)
    with sqlite3.connect(session) as base:
        outcomes = base.execute("select test_outcome, diff from work_results").fetchall()
    if len(outcomes) != len(drawn):
        raise SystemExit(f"{name}: {len(outcomes)} of {len(drawn)} changes have a result")
    return len(outcomes), [str(diff) for outcome, diff in outcomes if "SURVIVED" in str(outcome)]


def main() -> None:
    """Print the score of every package, and what survived."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--count", type=int, default=20, help="changes of each package")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--only", choices=PACKAGES)
    wanted = asked.parse_args()
    scores = []
    with tempfile.TemporaryDirectory() as folder:
        tree = Path(folder) / "tree"
        left_out = shutil.ignore_patterns(".*", "__pycache__", "build", "dist")
        shutil.copytree(ROOT, tree, ignore=left_out)
        for name in [wanted.only] if wanted.only else PACKAGES:
            count, survivors = tried(name, wanted.count, wanted.seed, tree)
            scores.append((name, count, len(survivors)))
            for diff in survivors:
                print(diff, end="\n\n", flush=True)
    for name, count, left in scores:
        print(f"{name:<8} {count - left} of {count} changes noticed, {1 - left / count:.0%}")


if __name__ == "__main__":
    main()
