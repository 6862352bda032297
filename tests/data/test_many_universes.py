"""Nothing of a hundred universes is lost by us, however slow the machine."""

import os
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

from sim.data.inbox import Inbox
from sim.data.listening import listening, played, settled
from sim.data.sockets import receiving_sockets

ROOT, SENDER = Path(__file__).parents[2], Path(__file__).with_name("many_universes.py")
#: So many frames the sender may be ahead of what was heard: 200 packets of some 1.3 kB in the
#: system's count, which the room that Linux gives anybody (208 kB, counted twice: socket(7),
#: SO_RCVBUF) holds.
AHEAD = 2


def loopback(port, count, seconds):
    """Hear `count` universes at 44 Hz for `seconds`; the state, the frames, the latencies [ms]."""
    late_ms, frames, told = [], [], 0
    with Inbox(receiving_sockets("127.0.0.1", (), port=port)) as inbox:
        state = listening(range(1, count + 1), time.time_ns())
        command = [sys.executable, SENDER, str(port), str(count), "44", str(seconds), str(AHEAD)]
        with subprocess.Popen(
            command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, cwd=ROOT
        ) as sender:
            quiet_since = None
            while quiet_since is None or time.monotonic() - quiet_since < 0.5:
                time.sleep(0.02)
                letters, now_ns = inbox.taken(), time.time_ns()
                late_ms += [(now_ns - each.time_ns) / 1e6 for each in letters]
                state, done = played(state, letters)
                frames += done
                heard = len(late_ms) // count
                with suppress(BrokenPipeError):  # it has sent everything
                    os.write(sender.stdin.fileno(), b"." * (heard - told))
                told = heard
                if letters or sender.poll() is None:
                    quiet_since = None
                elif quiet_since is None:
                    quiet_since = time.monotonic()
            sent = int(sender.communicate()[0])
        state, done = settled(state, time.time_ns())
        return state.taking.receiver, frames + done, late_ms, sent, inbox.dropped


def nothing_is_lost(port, seconds, capsys):
    receiver, frames, late_ms, sent, dropped = loopback(port, 100, seconds)
    assert sent == 100 * 44 * seconds
    assert dropped in (0, None)
    assert len(late_ms) == sent
    assert receiver.counts == {"shown": sent}
    for universe in receiver.universes.values():
        assert sum(each.missed for each in universe.sources.values()) == 0
    late_ms.sort()
    with capsys.disabled():
        print(
            f"\n{sent} packets in {seconds} s: read after {late_ms[len(late_ms) // 2]:.1f} ms "
            f"(half), {late_ms[int(len(late_ms) * 0.99)]:.1f} ms (99 of 100), {late_ms[-1]:.1f} ms "
            f"(all), the turn of 20 ms included; {len(frames)} frames"
        )
    # every level of every universe was in some frame; slots of one packet are never mixed
    seen = {(u, levels) for frame in frames for u, levels in frame.levels.items()}
    expected = {bytes([k]) * 512 for k in range(min(256, 44 * seconds))}
    for universe in (1, 50, 100):
        assert {levels for u, levels in seen if u == universe} == expected


def test_a_hundred_universes(port, capsys):
    """10 s: a universe's 440 packets run through all 256 numbers and on from 0.

    Longer than that, nothing new comes; `tests/bench/bench_listen.py` listens for a minute.
    """
    nothing_is_lost(port, 10, capsys)
