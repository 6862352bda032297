"""Datagrams as they come in: one thread that reads sockets, and nothing more."""

from __future__ import annotations

import selectors
import socket
import struct
import threading
import time
from collections import deque
from typing import NamedTuple

from .sockets import SO_TIMESTAMPNS, dropped

#: More than wait at any time unless whoever empties the box has stopped.
MOST_WAITING = 500_000
_LONGEST = 2048
_ANCILLARY = 64


class Letter(NamedTuple):
    """One datagram."""

    time_ns: int  # when it arrived, by the system's clock
    source: tuple[str, int]
    target: tuple[str, int]  # what the socket is bound to
    payload: bytes


class Inbox:
    """Reads `sockets` on a thread of its own from `with` on; closes them at its end."""

    def __init__(self, sockets: list[socket.socket]):
        self._sockets = sockets
        self._letters: deque[Letter] = deque(maxlen=MOST_WAITING)
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._read, name="inbox", daemon=True)
        self._before = 0

    def __enter__(self) -> Inbox:
        for each in self._sockets:
            try:
                each.setsockopt(socket.SOL_SOCKET, SO_TIMESTAMPNS, 1)
            except OSError:  # then the time of reading has to do
                continue
        self._before = dropped(self._sockets) or 0
        self._thread.start()
        return self

    def __exit__(self, *error: object) -> None:
        self._stop.set()
        self._thread.join()
        for each in self._sockets:
            each.close()

    def taken(self) -> list[Letter]:
        """Everything that has come since the last time, in order."""
        return [self._letters.popleft() for _ in range(len(self._letters))]

    @property
    def dropped(self) -> int | None:
        """Datagrams lost before they were read since the start; None where nobody knows."""
        now = dropped(self._sockets)
        return None if now is None else now - self._before

    def _read(self) -> None:
        with selectors.DefaultSelector() as ready:
            for each in self._sockets:
                ready.register(each, selectors.EVENT_READ, each.getsockname()[:2])
            while not self._stop.is_set():
                for key, _ in ready.select(timeout=0.1):
                    self._empty(key.fileobj, key.data)  # type: ignore[arg-type]

    def _empty(self, sock: socket.socket, target: tuple[str, int]) -> None:
        """Read what waits on one socket; at most so much that others have their turn."""
        for _ in range(256):
            try:
                payload, ancillary, source = _received(sock)
            except BlockingIOError:
                return
            except OSError:
                continue  # a refusal that came back for something else
            time_ns = _arrived_ns(ancillary)
            self._letters.append(Letter(time_ns, source[:2], target, payload))


def _received(sock: socket.socket) -> tuple[bytes, list[tuple[int, int, bytes]], tuple[str, int]]:
    """A datagram, what the system says of it, and where it came from."""
    if not hasattr(sock, "recvmsg"):  # Windows
        payload, source = sock.recvfrom(_LONGEST)
        return payload, [], source
    payload, ancillary, _, source = sock.recvmsg(_LONGEST, _ANCILLARY)
    return payload, ancillary, source


def _arrived_ns(ancillary: list[tuple[int, int, bytes]]) -> int:
    for level, kind, data in ancillary:
        if level == socket.SOL_SOCKET and kind == SO_TIMESTAMPNS and len(data) == 16:
            seconds, rest = struct.unpack("@qq", data)
            return int(seconds * 1_000_000_000 + rest)
    return time.time_ns()
