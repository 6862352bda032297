"""A second process compiles its share of the kernels: what it is, and what happens without it."""

from __future__ import annotations

import gc
import importlib.util
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from types import SimpleNamespace

import pytest

from sim import compiling, kernels, miniature
from sim.compiling import share_compiling
from sim.kernels import Kernel, await_from, njit, tell_compiling

KERNEL = """\
from sim.kernels import njit

@njit(cache=True)
def twice(x):
    return 2 * x
"""


@pytest.fixture
def sharing(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """What is shared is forgotten afterwards."""
    monkeypatch.setattr(kernels, "_SHARING", kernels._Sharing())
    monkeypatch.setattr(kernels, "_TOLD", [])
    for each in (share_compiling, compiling._begin_if_missing):
        each.cache_clear()
    yield
    for each in (share_compiling, compiling._begin_if_missing):
        each.cache_clear()


@pytest.fixture
def module(tmp_path: Path):
    """module() -> a kernel as a process finds it that has just begun; all have one cache."""
    (tmp_path / "small.py").write_text(KERNEL)

    def loaded() -> Kernel:
        spec = importlib.util.spec_from_file_location("small", tmp_path / "small.py")
        assert spec is not None
        assert spec.loader is not None
        made = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(made)
        return made.twice

    return loaded


@pytest.fixture
def begun(monkeypatch: pytest.MonkeyPatch) -> list[tuple[str, ...]]:
    """The words of every second process that would be started; on two cores, with nothing kept."""
    started: list[tuple[str, ...]] = []

    class Fake:
        def __init__(self, *words: str):
            started.append(words)

        def lives(self) -> bool:
            return False

        def end(self) -> None:
            pass

    monkeypatch.setattr(compiling, "Second", Fake)
    monkeypatch.setattr(compiling, "cores", lambda: 2)
    monkeypatch.setattr(compiling, "_seems_kept", lambda name: False)
    monkeypatch.setattr(Kernel, "kept", lambda self: False)
    return started


def hits_and_compilations(kernel: Kernel) -> tuple[int, int]:
    return sum(kernel.stats.cache_hits.values()), sum(kernel.stats.cache_misses.values())


def test_the_share_names_kernels_that_there_are() -> None:
    assert len(set(miniature.SHARE)) == len(miniature.SHARE)
    for name in miniature.SHARE:
        assert isinstance(compiling._kernel(name), Kernel), name
    assert set(miniature.LAST.values()) <= set(miniature.SHARE)


@pytest.mark.filterwarnings("ignore:overflow")  # what wraps in compiled code
@pytest.mark.parametrize("form", miniature.LAST)
def test_the_share_is_what_the_miniature_compiles(
    form: str, sharing: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of more a kernel would be awaited that nobody makes; of less one be compiled twice."""
    called: set[Kernel] = set()

    def call(self: Kernel, *arguments: object) -> object:
        called.add(self)
        return self._function(*arguments)

    monkeypatch.setattr(Kernel, "__call__", call)
    miniature.draw(form)
    reached: set[str] = set()
    left = {kernel for kernel in called if kernel.name in miniature.SHARE}
    while left:  # with a kernel all is compiled that it may call
        kernel = left.pop()
        reached.add(kernel.name)
        names = kernel._function.__code__.co_names
        named = (kernel._function.__globals__.get(name) for name in names)
        left |= {each for each in named if isinstance(each, Kernel) and each.name not in reached}
    others = {last for each, last in miniature.LAST.items() if each != form}
    assert reached == set(miniature.SHARE) - others


def test_a_kernel_is_awaited_while_another_process_is_at_it(sharing: None, module) -> None:
    kernel, elsewhere, looked = module(), module(), []

    def lives() -> bool:
        looked.append(kernel.kept())
        if len(looked) == 3:
            assert elsewhere._numba()(21.0) == 42.0  # kept now
        return True

    await_from(lives, {kernel.name})
    assert kernel(21.0) == 42.0
    assert looked == [False, False, False]
    assert hits_and_compilations(kernel) == (1, 0)


def test_what_a_process_leaves_undone_is_compiled_here(sharing: None, module) -> None:
    kernel, left = module(), iter((True, True, False))
    await_from(lambda: next(left), {kernel.name})
    assert kernel(21.0) == 42.0
    assert next(left, None) is None
    assert hits_and_compilations(kernel) == (0, 1)


def test_other_kernels_and_other_arguments_wait_for_nobody(sharing: None, module) -> None:
    def lives() -> bool:
        raise AssertionError("awaited")

    kernel, again = module(), module()
    await_from(lives, {"small.other"})
    assert kernel(21.0) == 42.0
    await_from(lambda: again.kept() or lives(), {again.name})
    assert again(21) == 42
    assert hits_and_compilations(again) == (0, 1)


def test_one_core_does_it_alone(sharing: None, begun: list, monkeypatch) -> None:
    monkeypatch.setattr(compiling, "cores", lambda: 1)
    share_compiling("file")
    assert begun == []


def test_without_a_place_to_keep_them_nobody_helps(sharing: None, begun: list, monkeypatch) -> None:
    monkeypatch.setattr(compiling, "_seems_kept", lambda name: None)
    share_compiling("file")
    assert begun == []


def test_kernels_seem_kept_where_any_lie_beside_the_file_or_in_the_place_of_numba_s_choice(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    import numba

    monkeypatch.setenv("NUMBA_CACHE_DIR", "")  # nothing chosen, as the command says it
    monkeypatch.setattr(compiling, "_HERE", tmp_path)
    file = tmp_path / "light" / "compose.py"
    file.parent.mkdir()
    file.write_text("")
    name = miniature.LAST["screen"]
    monkeypatch.setattr(numba.config, "CACHE_DIR", str(tmp_path / "kept"))
    for place in (kernels.folder_of(file), file.parent / "__pycache__"):
        assert place is not None
        assert compiling._seems_kept(name) is False
        place.mkdir(exist_ok=True)
        (place / "compose.display_bytes-9.py311.nbi").write_text("")  # another kernel
        assert compiling._seems_kept(name) is False
        kept = place / "compose.display-9.py311.nbi"
        kept.write_text("")
        assert compiling._seems_kept(name) is True
        if place.name == "__pycache__":  # where nobody looks whose cache is elsewhere
            monkeypatch.setenv("NUMBA_CACHE_DIR", str(tmp_path / "kept"))
            assert compiling._seems_kept(name) is False
        kept.unlink()
    monkeypatch.setattr(kernels, "_kept", lambda function: None)
    assert compiling._seems_kept(name) is None


def test_where_all_is_kept_nobody_helps(sharing: None, begun: list, module, monkeypatch) -> None:
    monkeypatch.setattr(compiling, "_seems_kept", lambda name: True)
    share_compiling("screen")
    monkeypatch.setattr(Kernel, "kept", lambda self: True)
    assert module()(21.0) == 42.0  # another one, not kept
    assert begun == []


def test_help_begins_at_once_or_with_the_first_kernel_compiled(
    sharing: None, begun: list, module, monkeypatch
) -> None:
    share_compiling("file")
    share_compiling("file")
    assert [words[-1] for words in begun] == ["file"]
    begun.clear()
    share_compiling.cache_clear()
    monkeypatch.setattr(compiling, "_seems_kept", lambda name: True)
    share_compiling("screen")
    assert begun == []
    assert module()(21.0) == 42.0
    assert [words[-1] for words in begun] == ["screen"]


def test_a_second_process_runs_nothing_of_the_folder_one_works_in(
    tmp_path: Path, sharing: None, begun: list, monkeypatch
) -> None:
    """It begins there too: of a house from somebody else's hands that would be their code."""
    ran = tmp_path / "ran"
    for name in ("json", "layouts", "numba", "numpy", "sim", "sys", "usercustomize"):
        (tmp_path / f"{name}.py").write_text(f"open({str(ran)!r}, 'a').write({name!r})\n")
    share_compiling("file")
    (words,) = begun
    env = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
    # Its standard input is shut: it ends as soon as it has begun.
    done = subprocess.run([sys.executable, *words], cwd=tmp_path, env=env, check=False,
                          stdin=subprocess.DEVNULL, capture_output=True, text=True)  # fmt: skip
    assert done.returncode != 0
    assert "miniature.py" in done.stderr  # so far it had come
    assert not ran.exists()


def test_a_second_process_does_not_begin_where_a_file_may_tell_numba_how(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It would keep what it compiles so, for good; numba looks for such a file where it begins."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("NUMBA_CACHE_DIR", "kept")
    code = "import os, sys; open(sys.argv[1], 'w').write(os.getcwd() + os.environ[sys.argv[2]])"
    second = compiling.Second("-c", code, str(tmp_path / "told"), "NUMBA_CACHE_DIR")
    second._process.wait()
    second.end()
    told = (tmp_path / "told").read_text()
    assert told == f"{compiling._HERE}{tmp_path / 'kept'}"


def test_a_second_process_leaves_alone_what_the_first_was_told_to(
    sharing: None, begun: list, monkeypatch
) -> None:
    flags = {"isolated": 0, "ignore_environment": 1, "no_user_site": 1}
    told = SimpleNamespace(flags=SimpleNamespace(**flags), executable="python", path=[])
    monkeypatch.setattr(compiling, "sys", told)
    share_compiling("file")
    (words,) = begun
    asked = "import sys; print(sys.flags.ignore_environment, sys.flags.no_user_site)"
    call = [sys.executable, *words[: words.index("-c") + 1], asked]
    assert subprocess.run(call, capture_output=True, check=True).stdout.split() == [b"1", b"1"]


def test_a_process_that_cannot_be_started_changes_nothing(
    sharing: None, begun: list, monkeypatch
) -> None:
    def cannot(*words: str) -> None:
        raise OSError("no more processes")

    monkeypatch.setattr(compiling, "Second", cannot)
    share_compiling("file")
    assert kernels._SHARING.elsewhere == ()


@pytest.mark.skipif(os.name != "posix", reason="a folder that somebody is in stays elsewhere")
def test_a_folder_that_is_gone_changes_nothing(
    tmp_path: Path, sharing: None, begun: list, monkeypatch
) -> None:
    here = tmp_path / "gone"
    here.mkdir()
    monkeypatch.chdir(here)
    monkeypatch.setattr(sys, "path", ["", *sys.path])
    here.rmdir()
    share_compiling("file")
    assert begun == []
    assert kernels._SHARING.elsewhere == ()


def failing() -> Kernel:
    @njit(cache=False)
    def made(x):
        return x.nothing_there

    return made


@pytest.mark.parametrize("looks", [True, False])
def test_compiling_leaves_the_search_for_circles_as_it_was(looks: bool, module) -> None:
    before: Callable[[], None] = gc.enable if gc.isenabled() else gc.disable
    try:
        (gc.enable if looks else gc.disable)()
        assert module()(21.0) == 42.0
        assert gc.isenabled() is looks
        with pytest.raises(Exception, match="nothing_there"):
            failing()(1.0)
        assert gc.isenabled() is looks
    finally:
        before()


def test_who_listens_is_told_the_name_of_what_is_compiled(sharing: None, module) -> None:
    told: list[str] = []
    tell_compiling(told.append, lambda: told.append("ended"))
    assert module()(1.0) == 2.0
    assert told == ["small.twice", "ended"]
    assert module()(1.0) == 2.0  # it is kept
    assert told == ["small.twice", "ended"]
