"""New files that belong together appear all or none: interrupted, refused, killed at every step."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from layouts import EvenfallError
from layouts.files.together import create_together
from layouts.starter import write_new

FILES = {"house.yaml": b"house\n", "a.scheme.yaml": b"scheme\n" * 99, "parts/b.yaml": b"parts\n"}
#: Every call to the system on the way, at which something may happen.
CALLS = ("open", "mkdir", "fsync", "link", "rename", "unlink", "rmdir")


def everything(folder: Path) -> dict[str, bytes | None]:
    """What is in a folder, hidden files too."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
        for path in folder.rglob("*")
    }


def whole(folder: Path) -> bool:
    """Whether the folder holds the files and nothing else."""
    return everything(folder) == {**FILES, "parts": None}


def at_call(number: int, do: Callable[[], None]) -> Callable[[], int]:
    """Have the system do something just before the call of that number; how many there were."""
    count = 0

    def watched(real: Callable) -> Callable:
        def call(*given: object, **more: object) -> object:
            nonlocal count
            count += 1
            if count == number:
                do()
            return real(*given, **more)

        return call

    for name in CALLS:
        setattr(os, name, watched(getattr(os, name)))
    return lambda: count


def interrupt() -> None:
    raise KeyboardInterrupt


@pytest.fixture
def watch(monkeypatch: pytest.MonkeyPatch) -> Callable[[int, Callable[[], None]], Callable]:
    """`at_call`, taken back at the end of the test."""
    for name in CALLS:
        monkeypatch.setattr(os, name, getattr(os, name))
    return at_call


@pytest.mark.parametrize("there", [False, True])
def test_an_interrupt_at_any_step_leaves_nothing(tmp_path: Path, watch, monkeypatch, there) -> None:
    folder = tmp_path / "deep" / "new"
    if there:
        folder.mkdir(parents=True)
        (folder / "mine.txt").write_text("mine")
    before = everything(tmp_path)
    ended = 0
    for number in range(1, 60):
        with monkeypatch.context() as patch:
            for name in CALLS:
                patch.setattr(os, name, getattr(os, name))
            at_call(number, interrupt)
            try:
                create_together(folder, FILES)
            except KeyboardInterrupt:
                ended += 1
            else:
                break
        if (now := everything(tmp_path)) != before:  # all of it: it came when all was done
            assert FILES.items() <= everything(folder).items()
            assert not [name for name in now if ".tmp" in name]
            assert ended > 6
            return
    assert ended > 6


@pytest.mark.parametrize("there", [False, True])
def test_a_refusal_leaves_nothing(tmp_path: Path, monkeypatch, there) -> None:
    folder = tmp_path / "deep" / "new"
    if there:
        folder.mkdir(parents=True)
    before = everything(tmp_path)
    real = os.fsync
    for number in range(3):
        left = [number]

        def full(handle: int, left: list[int] = left) -> None:
            left[0] -= 1
            if left[0] < 0:
                raise OSError(28, "No space left on device")
            real(handle)

        monkeypatch.setattr(os, "fsync", full)
        with pytest.raises(EvenfallError, match=r"(house|a.scheme|b).yaml: cannot be written: No"):
            write_new(folder, FILES)
        assert everything(tmp_path) == before


def test_what_somebody_else_put_there_meanwhile_stays(tmp_path: Path, monkeypatch) -> None:
    real = os.link

    def link(source: Path, target: Path) -> None:
        if target.name == "house.yaml":  # the last that takes its name
            target.write_bytes(b"theirs")
        real(source, target)

    monkeypatch.setattr(os, "link", link)
    with pytest.raises(EvenfallError, match=r"house\.yaml is already there; name another folder"):
        write_new(tmp_path, FILES)
    assert everything(tmp_path) == {"house.yaml": b"theirs"}


def test_a_call_goes_on_where_a_killed_one_left_some(tmp_path: Path) -> None:
    (tmp_path / "a.scheme.yaml").write_bytes(FILES["a.scheme.yaml"])
    write_new(tmp_path, FILES)
    assert whole(tmp_path)
    with pytest.raises(EvenfallError, match="is already there; name another folder, or move it"):
        write_new(tmp_path, FILES)  # whole: nothing to go on with
    (tmp_path / "house.yaml").unlink()
    (tmp_path / "a.scheme.yaml").write_bytes(b"mine")
    with pytest.raises(EvenfallError, match=r"a\.scheme\.yaml is already there"):
        write_new(tmp_path, FILES)
    assert not (tmp_path / "house.yaml").exists()


def test_a_disk_without_second_names(tmp_path: Path, monkeypatch) -> None:
    def link(source: Path, target: Path) -> None:
        raise OSError(1, "not here")

    monkeypatch.setattr(os, "link", link)
    create_together(tmp_path, FILES)
    assert whole(tmp_path)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="processes of POSIX")
def test_killed_at_any_step_the_next_call_makes_it_whole(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, __file__, str(tmp_path)], capture_output=True, text=True, check=False
    )
    assert done.stdout.splitlines() == ["new: whole", "there: whole"], done.stderr


def _killed(folder: Path) -> None:
    """Kill a call at every step, in a process of its own each; what the next one comes to."""
    for there in (False, True):
        steps = 0
        while True:
            place = folder / f"{there}-{steps}"
            place.mkdir()
            target = place / "new"
            if there:
                target.mkdir()
            pid = os.fork()
            if not pid:
                at_call(steps + 1, lambda: os.kill(os.getpid(), signal.SIGKILL))
                write_new(target, FILES)
                os._exit(0)
            if not os.waitpid(pid, 0)[1]:
                break
            steps += 1
            left = {name: data for name, data in everything(place).items() if ".tmp" not in name}
            if not there:  # all or none
                assert left.keys() <= {"new"} or whole(target), left
            assert all(data is None or (name[4:] in FILES and FILES[name[4:]] == data)
                       for name, data in left.items())  # fmt: skip
            assert "new/house.yaml" not in left or whole_but_aside(target), left
            if not whole_but_aside(target):
                write_new(target, FILES)
                assert whole(target), everything(place)
                assert list(place.iterdir()) == [target], list(place.iterdir())
        assert steps > 6
        print("there: whole" if there else "new: whole")


def whole_but_aside(folder: Path) -> bool:
    """Whether the folder holds the files, and beside them perhaps what is not cleared away yet."""
    return FILES.items() <= everything(folder).items()


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
    _killed(Path(sys.argv[1]))
