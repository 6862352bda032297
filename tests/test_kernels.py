"""Kernels run wherever Python does: nothing to write to, damaged caches, caches of an update."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from sim.kernel_cache import KernelFile

ROOT = Path(__file__).resolve().parents[1]
PACKAGES = ("layouts", "effects", "sim")

KERNEL = """\
import sys
from sim.kernels import in_words, njit

@njit(cache=True)
def twice(x):
    return 2 * x + {more}

print(twice(21.0), sum(twice.stats.cache_hits.values()), in_words("it"), sep="|")
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
    assert kernel() == (42, 0, "compiling it, once, some 5 s; kept for later runs")
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
        assert "at every run: it cannot be kept here; set NUMBA_CACHE_DIR" in words
    if own.is_dir():
        assert list(own.iterdir()) == []


HARMS: dict[str, Callable[[bytes], bytes]] = {
    "emptied": lambda raw: b"",
    "cut in half": lambda raw: raw[: len(raw) // 2],
    "one bit": lambda raw: (
        raw[: (half := len(raw) // 2)] + bytes([raw[half] ^ 1]) + raw[half + 1 :]
    ),
    "another file": lambda raw: b"a text that somebody put here",
    # a pickle that names a class no longer there, as after an update
    "a class": lambda raw: b"csim.kernels\nNoSuchClass\n.",
}


@pytest.fixture(scope="module")
def harmed(tmp_path_factory: pytest.TempPathFactory) -> dict[tuple[str, str], list[str]]:
    """What a kernel for each harm and ending says before it, after it, and once more.

    Every kernel has a folder and so a cache of its own; one process runs all of them in turn.
    """
    home = tmp_path_factory.mktemp("harmed")
    every = [(harm, ending) for harm in HARMS for ending in ("nbi", "nbc")]
    places = [home / f"{number}" / "small.py" for number in range(len(every))]
    for place in places:
        place.parent.mkdir()
        place.write_text(KERNEL.format(more=0))
    all_of_them = "import runpy, sys\nfor each in sys.argv[1:]:\n    runpy.run_path(each)\n"
    said: dict[tuple[str, str], list[str]] = {one: [] for one in every}
    for turn in range(3):
        done = evenfall(["-c", all_of_them, *map(str, places)], home)
        assert (done.returncode, done.stderr) == (0, "")
        lines = done.stdout.splitlines()
        for one, line in zip(every, lines, strict=True):
            said[one].append(line.rpartition("|")[0])
        if turn == 0:
            for (harm, ending), place in zip(every, places, strict=True):
                (file,) = files(place.parent, ending)
                file.write_bytes(HARMS[harm](file.read_bytes()))
    return said


@pytest.mark.parametrize("ending", ["nbi", "nbc"])
@pytest.mark.parametrize("harm", HARMS)
def test_damaged_files_are_made_anew(
    harmed: dict[tuple[str, str], list[str]], ending: str, harm: str
) -> None:
    _, after, once_more = harmed[harm, ending]
    assert after.startswith("42.0|")
    assert once_more == "42.0|1", "made anew and kept"


def test_two_that_compile_at_once_never_run_each_others_code(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Both have read the same index before either writes, and compiled for other arguments."""
    one, other = (KernelFile(str(tmp_path), "small", "stamp") for _ in range(2))
    with monkeypatch.context() as at_once:
        at_once.setattr(one, "_load_index", dict)
        at_once.setattr(other, "_load_index", dict)
        one.save(("whole numbers",), "code for whole numbers")
        other.save(("fractions",), "code for fractions")
    # the later index holds but its own; the other is compiled again, once
    assert one.load(("fractions",)) == "code for fractions"
    assert one.load(("whole numbers",)) is None
    one.save(("whole numbers",), "code for whole numbers")
    assert other.load(("whole numbers",)) == "code for whole numbers"
    assert other.load(("fractions",)) == "code for fractions"


def test_nothing_is_left_of_a_file_that_was_interrupted(tmp_path: Path) -> None:
    kept = KernelFile(str(tmp_path), "small", "stamp")
    kept.save(("whole numbers",), "code")
    before = {file.name: file.read_bytes() for file in tmp_path.iterdir()}
    name = next(name for name in before if name.endswith(".nbc"))

    def half(end: type[BaseException]) -> None:
        with kept._open_for_write(str(tmp_path / name)) as file:
            file.write(b"half")
            raise end

    for end in (KeyboardInterrupt, OSError):
        with pytest.raises(end):
            half(end)
        assert {file.name: file.read_bytes() for file in tmp_path.iterdir()} == before


def test_a_folder_named_by_the_user_that_is_none(kernel, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("no folder")
    assert kernel(NUMBA_CACHE_DIR=str(tmp_path / "file"))[0] == 42


COMMAND = """\
import sys
from pathlib import Path
sys.argv = ["evenfall", "--help"]
from sim.cli.main import main
try:
    main()
except SystemExit:
    pass
from sim.kernels import folder_of
print(folder_of(Path("small.py").resolve()), end="")
"""


def test_the_folder_one_works_in_says_nothing_of_where_code_is_kept(tmp_path: Path) -> None:
    """What is kept is run: of a house from somebody else's hands it would be their code."""
    (tmp_path / ".numba_config.yaml").write_text("cache_dir: ./theirs\n")
    (tmp_path / "small.py").write_text("")
    theirs, chosen = tmp_path / "theirs", tmp_path / "chosen"
    said = evenfall(["-c", COMMAND], tmp_path).stdout
    assert said.endswith("__pycache__"), said
    said = evenfall(["-c", COMMAND], tmp_path, NUMBA_CACHE_DIR=str(chosen)).stdout
    assert chosen in Path(said.splitlines()[-1]).parents
    assert not theirs.exists()


@pytest.mark.parametrize("text", ["cache_dir: [", "- a", "disable_jit: 1\nopt: 9\n"])
def test_the_folder_one_works_in_has_no_say_in_how_it_is_compiled(
    tmp_path: Path, text: str
) -> None:
    """numba reads the file as it is imported and before it compiles, and fails at the first two."""
    (tmp_path / ".numba_config.yaml").write_text(text)
    code = COMMAND.replace('"--help"', '"list", "wires"').partition("from sim.kernels")[0] + (
        "from numba.core import config\nconfig.reload_config()\n"
        "print(config.DISABLE_JIT, int(config.OPT), end='')"
    )
    done = evenfall(["-c", code], tmp_path)
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.endswith("0 3")


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
