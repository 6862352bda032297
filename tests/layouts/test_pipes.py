"""Pipes in the place of files: read as they come, refused where they stay mute."""

import os
import threading
import time

import pytest

from layouts import InputError
from layouts.files import pipes
from layouts.files.document import read
from layouts.svg.tree import read_tree


@pytest.fixture
def fifo(tmp_path):
    path = tmp_path / "house.yaml"
    os.mkfifo(path)
    return path


def test_a_pipe_is_read_in_pieces(fifo):
    def write():
        with open(fifo, "wb", buffering=0) as out:
            for part in (b"a: 1\n", b"b: ", b"2\n"):
                out.write(part)
                time.sleep(0.05)

    writer = threading.Thread(target=write)
    writer.start()
    assert read(fifo).data == {"a": 1, "b": 2}
    writer.join()


def test_what_a_shell_hands_over_is_read():
    out, into = os.pipe()
    os.write(into, b"a: 1\n")
    os.close(into)
    assert read(f"/dev/fd/{out}").data == {"a": 1}
    os.close(out)


@pytest.mark.parametrize("reader", [read, read_tree])
def test_a_mute_pipe_is_refused(fifo, monkeypatch, reader):
    monkeypatch.setattr(pipes, "LONGEST_WAIT_S", 0.1)
    with pytest.raises(InputError, match=r"it is a pipe, and gave nothing for 0\.1 s"):
        reader(fifo)


def test_ten_seconds_are_waited():
    assert pipes.LONGEST_WAIT_S == 10
