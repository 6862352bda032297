"""The window's turns go before what is measured beside them."""

from __future__ import annotations

import sys
import threading
import time

from sim.app.work import turn as turns
from sim.app.work.turn import Turn, quick_switches


def waiting(turn: Turn) -> tuple[threading.Thread, threading.Event]:
    """A thread that lets the turn go first, and whether it went on."""
    went_on = threading.Event()

    def work() -> None:
        turn.give_way()
        went_on.set()

    thread = threading.Thread(target=work, daemon=True)
    thread.start()
    return thread, went_on


def test_nothing_waits_between_turns() -> None:
    thread, went_on = waiting(Turn())
    thread.join(120)
    assert went_on.is_set()


def test_a_piece_waits_for_the_end_of_a_turn(monkeypatch) -> None:
    monkeypatch.setattr(turns, "MOST_S", 120.0)
    turn = Turn()
    with turn.taken():
        thread, went_on = waiting(turn)
        thread.join(0.05)
        assert not went_on.is_set()
    thread.join(120)
    assert went_on.is_set()


def test_a_turn_that_fails_holds_up_nothing(monkeypatch) -> None:
    monkeypatch.setattr(turns, "MOST_S", 120.0)
    turn = Turn()
    try:
        with turn.taken():
            raise ValueError("no")
    except ValueError:
        pass
    thread, went_on = waiting(turn)
    thread.join(120)
    assert went_on.is_set()


def test_a_turn_without_an_end_holds_up_a_piece_for_a_moment_only() -> None:
    turn = Turn()
    with turn.taken():
        thread, went_on = waiting(turn)
        thread.join(120)
        assert went_on.is_set()


def test_turns_close_upon_each_other_let_a_piece_through(monkeypatch) -> None:
    """Whoever waits is woken by the end of a turn, though the next has begun by then."""
    monkeypatch.setattr(turns, "MOST_S", 120.0)
    turn = Turn()
    with turn.taken():
        thread, went_on = waiting(turn)
    end_s = time.monotonic() + 120
    while thread.is_alive() and time.monotonic() < end_s:
        with turn.taken():
            thread.join(0.02)
    assert went_on.is_set()


def test_locks_are_handed_over_sooner_only_while_a_window_is_open() -> None:
    before = sys.getswitchinterval()
    with quick_switches():
        assert sys.getswitchinterval() <= turns.SWITCH_S * 1.001
    assert sys.getswitchinterval() == before
