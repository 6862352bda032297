"""Work beside the picture, and files that change under the window."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from sim.app.work.backstage import Backstage
from sim.app.work.watch import EVERY_S, Watch
from sim.app.work.worker import Alive, Worker

sys.path.insert(0, str(Path(__file__).parent))
from waiting import wait


def until(condition: Callable[[], bool]) -> None:
    wait(condition, rest_s=0.002)


@pytest.fixture
def worker() -> Iterator[Worker]:
    one = Worker("test", low=True)
    yield one
    assert one.close(60.0)


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="threads alone have no priority")
def test_a_thread_and_those_that_it_starts_stand_back_but_no_other() -> None:
    def niceness() -> int:
        return os.getpriority(os.PRIO_PROCESS, threading.get_native_id())

    def both(_alive: Alive) -> Iterator[int]:
        yield niceness()
        helped: list[int] = []
        helper = threading.Thread(target=lambda: helped.append(niceness()))
        helper.start()
        helper.join()
        yield from helped

    before = niceness()
    one = Worker("test", nice=3)
    one.submit(both)
    until(lambda: one.idle)
    wanted = min(before + 3, 19)
    assert one.drain() == [wanted, wanted]
    assert niceness() == before
    assert one.close(60.0)


def test_pieces_arrive_in_order(worker: Worker) -> None:
    worker.submit(lambda alive: iter([1, 2, 3]))
    until(lambda: worker.idle)
    assert worker.drain() == [1, 2, 3]
    assert worker.drain() == []


def test_newer_work_takes_the_place_of_older(worker: Worker) -> None:
    begun, release = threading.Event(), threading.Event()

    def old(alive: Alive) -> Iterator[str]:
        begun.set()
        release.wait(120)
        yield "old"
        yield "never asked for"

    worker.submit(old)
    begun.wait(120)
    worker.submit(lambda alive: iter(["skipped"]))
    worker.submit(lambda alive: iter(["new"]))
    release.set()
    until(lambda: worker.idle)
    assert worker.drain() == ["new"]


def test_a_failure_is_handed_over_not_lost(worker: Worker) -> None:
    def failing(alive: Alive) -> Iterator[int]:
        yield 1
        raise ValueError("no")

    worker.submit(failing)
    until(lambda: worker.idle)
    one, error = worker.drain()
    assert one == 1
    assert isinstance(error, ValueError)
    worker.submit(lambda alive: iter([2]))
    until(lambda: worker.idle)
    assert worker.drain() == [2]


def test_a_closed_worker_leaves_no_thread() -> None:
    before = set(threading.enumerate())  # of other tests, which may end meanwhile
    one = Worker("test")
    one.submit(lambda alive: iter(range(1000)))
    assert one.close(60.0)
    assert set(threading.enumerate()) <= before


def looks(watch: Watch, path: Path, count: int, start_s: float) -> list[bool]:
    return [watch.changed([path], start_s + index * EVERY_S) for index in range(count)]


def test_a_save_is_told_once_when_it_has_come_to_rest(tmp_path: Path) -> None:
    path = tmp_path / "a.yaml"
    path.write_text("a: 1\n")
    watch = Watch()
    assert looks(watch, path, 3, 0.0) == [False] * 3
    path.write_text("a: 22\n")
    assert looks(watch, path, 4, 10.0) == [False, True, False, False]


def test_a_file_replaced_removed_or_made_is_a_change(tmp_path: Path) -> None:
    path, other = tmp_path / "a.yaml", tmp_path / "b"
    path.write_text("a: 1\n")
    watch = Watch()
    looks(watch, path, 1, 0.0)
    other.write_text("a: 2\n")
    other.replace(path)
    assert True in looks(watch, path, 3, 10.0)
    path.unlink()
    assert True in looks(watch, path, 3, 20.0)
    path.write_text("a: 3\n")
    assert True in looks(watch, path, 3, 30.0)


def test_watching_other_files_is_no_change(tmp_path: Path) -> None:
    a, b = tmp_path / "a.yaml", tmp_path / "b.yaml"
    a.write_text("1")
    b.write_text("2")
    watch = Watch()
    assert not watch.changed([a], 0.0)
    assert not watch.changed([b], 1.0)
    assert not watch.changed([b], 2.0)


@pytest.mark.parametrize(("layer", "waits"), [("workqueue", True), ("omp", False), ("tbb", False)])
def test_pictures_wait_where_two_threads_may_not_run_parallel_kernels(
    layer: str, waits: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("numba.threading_layer", lambda: layer)
    backstage, begun, release = Backstage(), threading.Event(), threading.Event()

    def making(alive: Alive) -> Iterator[int]:
        begun.set()
        release.wait(120)
        yield 1

    try:
        assert not backstage.pictures_must_wait
        backstage._makes.submit(making)
        begun.wait(120)
        assert backstage.pictures_must_wait is waits
        release.set()
        until(lambda: not backstage.pictures_must_wait)
    finally:
        release.set()
        assert any(backstage.close() for _ in range(60))
