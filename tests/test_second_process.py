"""A second process ends when it is asked to, by itself, and with the first however that ends."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from sim.compiling import Second

ROOT = Path(__file__).resolve().parents[1]


def runs(pid: int) -> bool:
    """Whether a process is there and has not ended. One whose parent was killed stays as a dead
    one where nobody asks for its status: in a container whose first process is no `init`."""
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    try:  # Linux: proc_pid_stat(5), field 3
        state = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except OSError:
        return Path("/proc/self/stat").exists() is False
    return state not in "ZX"


def gone(pid: int, within_s: float = 240.0) -> bool:
    until = time.monotonic() + within_s
    while runs(pid):
        if time.monotonic() > until:
            return False
        time.sleep(0.02)
    return True


def test_a_second_process_ends_when_asked_and_is_not_waited_for_when_it_failed() -> None:
    failed = Second("-c", "raise SystemExit(1)")
    while failed.lives():
        time.sleep(0.01)
    failed.end()
    asleep = Second("-c", "import os; os.read(0, 1)")
    assert asleep.lives()
    asleep.end()
    assert not asleep.lives()


STARTS = """\
import os, signal, sys, time
from sim.compiling import Second
child = '''
import sys, threading, time
from sim.miniature import _end_with_parent
threading.Thread(target=_end_with_parent, daemon=True).start()
while True:
    time.sleep(0.01)
'''
second = Second("-c", "import sys; sys.path[:] = %r\\n" % (sys.path,) + child)
print(second._process.pid, flush=True)
time.sleep(600)
"""


@pytest.mark.skipif(os.name != "posix", reason="asks for a process by its number")
def test_no_second_process_outlives_the_first_even_when_that_is_killed() -> None:
    first = subprocess.Popen([sys.executable, "-c", STARTS], cwd=ROOT, stdout=subprocess.PIPE)
    assert first.stdout is not None
    second = int(first.stdout.readline())
    time.sleep(0.3)
    assert runs(second)
    first.send_signal(signal.SIGKILL)
    first.wait()
    first.stdout.close()
    assert gone(second)


IGNORES = """\
import signal, sys, time
signal.signal(signal.SIGINT, signal.SIG_IGN)
from sim import miniature
def draw(form):
    while True:
        time.sleep(0.01)
miniature.draw = draw
try:
    miniature.main("file")
except KeyboardInterrupt:
    print("interrupted")
"""


def test_a_second_process_ends_by_itself_where_ctrl_c_is_ignored() -> None:
    """A shell starts so what runs in the background; it would be killed, in a file perhaps."""
    done = subprocess.run([sys.executable, "-c", IGNORES], cwd=ROOT, stdin=subprocess.DEVNULL,
                          capture_output=True, text=True, check=False)  # fmt: skip
    assert done.stdout == "interrupted\n", done.stderr
