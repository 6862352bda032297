"""Kernels run wherever Python does: nothing to write to, damaged caches, caches of an update."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("layouts", "effects", "sim")

KERNEL = """\
import sys
from sim.kernels import in_words, njit

@njit(cache=True)
def twice(x):
    return 2 * x + {more}

print(twice(21.0), sum(twice.stats.cache_hits.values()), in_words(), sep="|")
"""


@pytest.fixture
def kernel(tmp_path: Path):
    """kernel(more=…, **environment) -> value, cache hits and words of a small kernel's run."""
    file = tmp_path / "code" / "small.py"
    file.parent.mkdir()

    def run(more: float = 0, **environment: str) -> tuple[float, int, str]:
        file.write_text(KERNEL.format(more=more))
        done = evenfall([str(file)], tmp_path, **environment)
        assert done.returncode == 0, done.stderr
        assert done.stderr == ""
        value, hits, words = done.stdout.strip().split("|")
        return float(value), int(hits), words

    return run


def evenfall(
    arguments: list[str], home: Path, root: Path = ROOT, **environment: str
) -> subprocess.CompletedProcess[str]:
    """Python on `arguments`, as somebody whose home and temporary folder lie in `home`."""
    kept = {key: os.environ[key] for key in ("PATH", "LANG") if key in os.environ}
    (home / "tmp").mkdir(exist_ok=True)
    places = {"HOME": str(home), "TMPDIR": str(home / "tmp"), "PYTHONPATH": str(root)}
    return subprocess.run(
        [sys.executable, "-B", *arguments],
        capture_output=True, text=True, check=False, timeout=580, cwd=home,
        env={**kept, **places, "PYTHONDONTWRITEBYTECODE": "1", **environment},
    )  # fmt: skip


def without_a_place(home: Path, code: Path) -> dict[str, str]:
    """A file stands where every cache would be made, which stops root too."""
    (code / "__pycache__").write_text("no folder")
    (home / "taken").write_text("no folder")
    return {"HOME": str(home / "taken"), "XDG_CACHE_HOME": str(home / "taken")}


def read_only_package(tmp_path: Path) -> Path:
    """The packages, where no cache can be made beside them."""
    root = tmp_path / "installed"
    for name in PACKAGES:
        hidden = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / name, root / name, ignore=hidden)
    for folder in [root / "sim", *(path for path in (root / "sim").iterdir() if path.is_dir())]:
        (folder / "__pycache__").write_text("no folder")
    return root


def files(folder: Path, ending: str) -> list[Path]:
    return sorted(folder.rglob(f"*.{ending}"))


def test_a_kernel_is_compiled_once_and_kept(kernel, tmp_path: Path) -> None:
    assert kernel() == (42, 0, "compiling kernels once, about 20 s; later runs start at once")
    assert kernel()[:2] == (42, 1)
    assert kernel(more=1)[:2] == (43, 0), "another text is another kernel"


def test_a_temporary_folder_where_there_is_no_other_place(kernel, tmp_path: Path) -> None:
    root = read_only_package(tmp_path)
    places = without_a_place(tmp_path, tmp_path / "code") | {"PYTHONPATH": str(root)}
    value, hits, words = kernel(**places)
    assert (value, hits) == (42, 0)
    own = next((tmp_path / "tmp").glob("evenfall-kernels-*"))
    assert f"kept in {own} until" in words
    assert own.stat().st_mode & 0o777 == 0o700
    assert kernel(**places)[:2] == (42, 1)


@pytest.mark.parametrize("trap", ["file", "writable by others", "link"])
def test_no_place_at_all(kernel, tmp_path: Path, trap: str) -> None:
    """Nothing is loaded from a folder that somebody else could have filled."""
    root = read_only_package(tmp_path)
    places = without_a_place(tmp_path, tmp_path / "code") | {"PYTHONPATH": str(root)}
    user = os.getuid() if hasattr(os, "getuid") else ""
    own = tmp_path / "tmp" / f"evenfall-kernels-{user}"
    own.parent.mkdir()
    if trap == "file":
        own.write_text("no folder")
    elif trap == "link":
        (tmp_path / "theirs").mkdir(mode=0o700)
        own.symlink_to(tmp_path / "theirs")
    else:
        own.mkdir()
        own.chmod(0o777)
    for _ in range(2):
        value, hits, words = kernel(**places)
        assert (value, hits) == (42, 0)
        assert "at every run: they cannot be kept here; set NUMBA_CACHE_DIR" in words
    if own.is_dir():
        assert list(own.iterdir()) == []


@pytest.mark.parametrize("ending", ["nbi", "nbc"])
@pytest.mark.parametrize("harm", ["emptied", "cut in half", "one bit", "another file", "a class"])
def test_damaged_files_are_made_anew(kernel, tmp_path: Path, ending: str, harm: str) -> None:
    kernel()
    (file,) = files(tmp_path / "code", ending)
    raw = file.read_bytes()
    half = len(raw) // 2
    file.write_bytes({
        "emptied": b"",
        "cut in half": raw[:half],
        "one bit": raw[:half] + bytes([raw[half] ^ 1]) + raw[half + 1 :],
        "another file": b"a text that somebody put here",
        # a pickle that names a class no longer there, as after an update
        "a class": b"csim.kernels\nNoSuchClass\n.",
    }[harm])  # fmt: skip
    assert kernel()[0] == 42
    assert kernel()[:2] == (42, 1), "made anew and kept"


def test_a_folder_named_by_the_user_that_is_none(kernel, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    assert kernel(NUMBA_CACHE_DIR=str(tmp_path / "file"))[0] == 42


def test_a_kernel_knows_what_is_compiled_into_it(tmp_path: Path) -> None:
    """numba looks at a kernel's own file; an update may change the file it calls into."""
    code = tmp_path / "code"
    code.mkdir()
    (code / "numbers_here.py").write_text("STEP = 1.0\n")
    (code / "main.py").write_text(
        "from sim.kernels import njit\nfrom numbers_here import STEP\n"
        "@njit(cache=True)\ndef more(x):\n    return x + STEP\nprint(more(1.0))\n"
    )
    assert evenfall([str(code / "main.py")], tmp_path).stdout == "2.0\n"
    (code / "numbers_here.py").write_text("STEP = 5.0\n")
    assert evenfall([str(code / "main.py")], tmp_path).stdout == "6.0\n"


def test_a_verb_in_a_read_only_installation_with_a_damaged_cache(tmp_path: Path) -> None:
    root = read_only_package(tmp_path)
    (tmp_path / "code").mkdir()
    places = without_a_place(tmp_path, tmp_path / "code")
    starter = root / "layouts" / "starter_files"
    call = ["-m", "sim.cli.main", "check", str(starter / "house.yaml"),
            str(starter / "evening.scheme.yaml"), "--seconds", "1s"]  # fmt: skip
    first = evenfall(call, tmp_path, root, **places)
    assert first.returncode == 0, first.stderr
    assert "until that is cleared" in first.stderr
    kept = files(tmp_path / "tmp", "nbc")
    assert kept
    for file in (kept[0], files(tmp_path / "tmp", "nbi")[-1]):
        file.write_bytes(file.read_bytes()[:100])
    again = evenfall(call, tmp_path, root, **places)
    assert (again.returncode, again.stdout) == (0, first.stdout), again.stderr
    assert "Traceback" not in again.stderr
