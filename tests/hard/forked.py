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
from contextlib import suppress
from pathlib import Path
from typing import Any

#: What verbs import, most of the time of a start.
HEAVY = (
    "numpy", "scipy.sparse", "numba", "pydantic", "yaml", "PIL.Image", "rich.console", "rich.table",
    "sim.cli.main", "layouts", "effects", "sim.frame", "sim.scan", "sim.circuit", "sim.report.power",
    "sim.report.terminal", "sim.films", "sim.season", "sim.parts", "sim.upkeep", "sim.plan.plan",
    "sim.report.handover.facts", "sim.data.patch", "sim.report.sending", "sim.upkeep.diagnosis",
)  # fmt: skip


class Forge:
    """Makes processes of the command, one after the other."""

    def __init__(self, env: Mapping[str, str]) -> None:
        self._maker = subprocess.Popen(
            [sys.executable, __file__], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True,
            env=dict(env),
        )  # fmt: skip
        self._said: tuple[Path, Path] | None = None

    def start(self, arguments: Sequence[object], folder: Path, **how: Any) -> int:
        """Begin a call whose output goes to files in `folder`; its process's number."""
        self._said = (folder / ".said", folder / ".errors")
        call = {
            "arguments": [str(each) for each in arguments],
            "stdout": str(how.pop("stdout", self._said[0])),
            "stderr": str(self._said[1]),
            **how,
        }
        return int(self._asked(call)["pid"])

    def end(self) -> subprocess.CompletedProcess[str]:
        """Wait for the call begun last; status as `subprocess` has it."""
        assert self._said is not None
        status = int(self._answer()["status"])
        texts = [
            path.read_text(encoding="utf-8", errors="replace") if path.exists() else ""
            for path in self._said
        ]
        for path in self._said:
            path.unlink(missing_ok=True)
        return subprocess.CompletedProcess([], status, *texts)

    def call(
        self, arguments: Sequence[object], folder: Path, **how: Any
    ) -> subprocess.CompletedProcess[str]:
        """A call from beginning to end."""
        self.start(arguments, folder, **how)
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


def _child(call: Mapping[str, Any]) -> None:
    """Become the command. Never returns."""
    import signal

    status = 3
    try:
        for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP):
            signal.signal(number, signal.SIG_DFL)
        signal.signal(signal.SIGINT, signal.default_int_handler)
        os.environ.update(call.get("environ", {}))
        for descriptor, key in ((1, "stdout"), (2, "stderr")):
            kind = os.O_WRONLY | os.O_CREAT
            os.dup2(os.open(call[key], kind, 0o666), descriptor)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        if "closed" in call:
            os.close(int(call["closed"]))
        if "most_bytes" in call:
            import resource

            most = int(call["most_bytes"])
            resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
        if "user" in call:
            os.setgroups([])
            os.setgid(int(call["user"]))
            os.setuid(int(call["user"]))
        sys.argv = ["evenfall", *call["arguments"]]
        from sim.cli.main import main

        try:
            main()
            status = 0
        except SystemExit as end:
            status = end.code if isinstance(end.code, int) else 1 if end.code else 0
        except BaseException:
            import traceback

            traceback.print_exc()
            status = 1
        with suppress(Exception):
            sys.stdout.flush()
            sys.stderr.flush()
    finally:
        os._exit(status)


def _serve() -> None:
    import importlib

    for name in HEAVY:
        importlib.import_module(name)
    answers = os.fdopen(os.dup(1), "w")
    for line in sys.stdin:
        call = json.loads(line)
        pid = os.fork()
        if not pid:
            _child(call)
        answers.write(json.dumps({"pid": pid}) + "\n")
        answers.flush()
        _, status = os.waitpid(pid, 0)
        answers.write(json.dumps({"status": os.waitstatus_to_exitcode(status)}) + "\n")
        answers.flush()


if __name__ == "__main__":
    _serve()
