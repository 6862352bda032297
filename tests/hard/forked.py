"""The command as real processes that start quickly: one that has imported it forks for each call.

As a program it is that one: a line of JSON on its input is a call, and it answers with the
process's number, then with its status. A child has its own output, limits, user and signals, and
goes through the entry point as any start does. What an interpreter decides as it begins (locale,
home, caches) is not tried with this: see `trial.called`.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping, Sequence
from typing import Any, NoReturn

from trial import powerless

#: What verbs import, most of the time of a start.
HEAVY = (
    "numpy", "scipy.sparse", "numba", "pydantic", "yaml", "PIL.Image", "rich.console", "rich.table",
    "sim.cli.main", "layouts", "effects", "sim.frame", "sim.scan", "sim.circuit",
    "sim.report.power", "sim.report.terminal", "sim.films", "sim.season", "sim.parts", "sim.upkeep",
    "sim.plan.plan", "sim.report.handover.facts", "sim.data.patch", "sim.report.sending",
    "sim.upkeep.diagnosis",
)  # fmt: skip


class Forge:
    """Makes processes of the command, one after the other."""

    def __init__(self, env: Mapping[str, str]) -> None:
        self._maker = subprocess.Popen(
            [sys.executable, __file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            env=dict(env),
        )  # fmt: skip

    def start(self, arguments: Sequence[object], **how: Any) -> int:
        """Begin a call; its process's number."""
        return int(self._asked({"arguments": [str(each) for each in arguments], **how})["pid"])

    def end(self) -> subprocess.CompletedProcess[str]:
        """Wait for the call begun last; status as `subprocess` has it."""
        told = self._answer()
        return subprocess.CompletedProcess([], int(told["status"]), *told["said"])

    def call(self, arguments: Sequence[object], **how: Any) -> subprocess.CompletedProcess[str]:
        """A call from beginning to end."""
        self.start(arguments, **how)
        return self.end()

    def close(self) -> None:
        """No more calls."""
        assert self._maker.stdin is not None
        assert self._maker.stdout is not None
        self._maker.stdin.close()
        self._maker.wait()
        self._maker.stdout.close()

    def __enter__(self) -> Forge:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _asked(self, call: Mapping[str, Any]) -> Any:
        assert self._maker.stdin is not None
        self._maker.stdin.write(json.dumps(call) + "\n")
        self._maker.stdin.flush()
        return self._answer()

    def _answer(self) -> Any:
        assert self._maker.stdout is not None
        return json.loads(self._maker.stdout.readline())


def _child(call: Mapping[str, Any], pipes: Sequence[int]) -> NoReturn:
    """Become the command, and end as it does."""
    import signal

    for number in (signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.default_int_handler)
    os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
    for descriptor, pipe in ((1, pipes[0]), (2, pipes[1])):
        os.dup2(pipe, descriptor)
    os.closerange(3, 64)  # what the maker holds, and the pipes' other ends
    if "device" in call:
        os.dup2(os.open(call["device"], os.O_WRONLY), 1)
    if "closed" in call:
        os.close(int(call["closed"]))
    if "most_bytes" in call:
        import resource

        resource.setrlimit(resource.RLIMIT_FSIZE, (int(call["most_bytes"]),) * 2)
    if call.get("powerless"):
        powerless()
    # as an interpreter makes them, of what these numbers are now
    shut = call.get("closed")
    sys.stdout = None if shut == 1 else open(1, "w", encoding="utf-8", closefd=False)  # type: ignore[assignment]  # noqa: SIM115
    sys.stderr = open(2, "w", encoding="utf-8", buffering=1, closefd=False)  # noqa: SIM115
    sys.argv = ["evenfall", *call["arguments"]]
    from sim.cli.main import main

    main()
    sys.exit(0)


def _serve() -> None:
    import importlib

    for name in HEAVY:
        importlib.import_module(name)
    answers = os.fdopen(os.dup(1), "w")
    for line in sys.stdin:
        call = json.loads(line)
        ends = [os.pipe() for _ in range(2)]
        pid = os.fork()
        if not pid:
            _child(call, [write for _, write in ends])
        for _, write in ends:
            os.close(write)
        answers.write(json.dumps({"pid": pid}) + "\n")
        answers.flush()
        said = _drained([read for read, _ in ends])
        _, status = os.waitpid(pid, 0)
        told = {"status": os.waitstatus_to_exitcode(status), "said": said}
        answers.write(json.dumps(told) + "\n")
        answers.flush()


def _drained(pipes: Sequence[int]) -> list[str]:
    """What comes through pipes until nobody writes any more."""
    import select

    parts: dict[int, bytes] = dict.fromkeys(pipes, b"")
    left = list(pipes)
    while left:
        for pipe in select.select(left, [], [])[0]:
            part = os.read(pipe, 65_536)
            parts[pipe] += part
            if not part:
                os.close(pipe)
                left.remove(pipe)
    return [each.decode("utf-8", "replace") for each in parts.values()]


if __name__ == "__main__":
    _serve()
