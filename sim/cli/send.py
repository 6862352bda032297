"""`evenfall send HOUSE SCHEME --to ADDRESS`: a scheme played to real pixels over E1.31."""

from __future__ import annotations

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Annotated, Any

import typer

from sim.cli.common import (
    DANGER,
    FINE,
    HouseArgument,
    JsonFlag,
    SchemeArgument,
    console,
    fail,
    load_show,
    parse_span_s,
    print_json,
    progress,
    say,
)
from sim.cli.ending import STOPS, Ended, status_of
from sim.cli.frames import needs_universes

if TYPE_CHECKING:
    from effects import Show
    from sim.data.patch import HousePatch
    from sim.data.sockets import SendingLine
    from sim.frame import Rig
    from sim.report.sending import SendPlan


def send(
    house: HouseArgument,
    scheme: SchemeArgument,
    to: Annotated[
        str,
        typer.Option(
            "--to", metavar="ADDRESS", help="A receiver, or: multicast, multicast-ipv6 (groups)."
        ),
    ],
    seconds: Annotated[
        float | None,
        typer.Option(
            "--seconds", parser=parse_span_s, metavar="TIME", help="Left out: until Ctrl-C."
        ),
    ] = None,
    over: Annotated[
        bool, typer.Option("--over", help="Send although the scheme is above the ceiling.")
    ] = False,
    port: Annotated[
        int, typer.Option("--port", min=1, max=65535, help="UDP port; the standard's is 5568.")
    ] = 5568,
    source: Annotated[
        str | None,
        typer.Option("--from", metavar="ADDRESS", help="Of this machine, where it has several."),
    ] = None,
    ttl: Annotated[
        int, typer.Option("--ttl", min=1, max=255, help="Routers that packets to groups pass.")
    ] = 1,
    priority: Annotated[
        int, typer.Option("--priority", min=0, max=200, help="The highest wins.")
    ] = 100,
    json: JsonFlag = False,
) -> None:
    """Send a scheme's codes as E1.31 packets, in time; ends with three terminated packets."""
    rig, show = load_show(house, scheme)
    from sim.data.patch import patch_of
    from sim.data.sockets import sending_line
    from sim.report.sending import refusal, send_blocks
    from sim.report.terminal import print_blocks

    patch = patch_of(rig.house)
    needs_universes(house, patch)
    line = sending_line(to, patch.universes, port=port, source=source, ttl=ttl)
    with line.socket:
        plan = _planned(rig, show, patch, line, seconds)
        if plan.above and not over:
            say(refusal(plan))
            raise typer.Exit(DANGER)
        if not json:
            print_blocks(console(), send_blocks(plan))
        _play(rig, plan, line, seconds, priority, json)


def _planned(
    rig: Rig, show: Show, patch: HousePatch, line: SendingLine, seconds: float | None
) -> SendPlan:
    """What is sent, watched for its ceiling first."""
    from sim.report.sending import SendPlan
    from sim.scan import ceiling, scan

    with progress(f"watching {show.scheme.name}") as report:
        watched = scan(rig, show, seconds=seconds, progress=report)
        found = ceiling(watched, report)
    return SendPlan(patch, show, found, line.said, watched.seconds)


def _play(
    rig: Rig, plan: SendPlan, line: SendingLine, seconds: float | None, priority: int, json: bool
) -> None:
    """Send until the time is over or somebody stops it, then tell."""
    import numpy as np

    from sim.data.frames import source_id, source_name
    from sim.data.pacing import Pace, send_show
    from sim.data.patch import levels_from
    from sim.data.sending import Sending
    from sim.frame import on_wire
    from sim.report.sending import as_json, sent_blocks
    from sim.report.terminal import print_blocks

    patch, show = plan.patch, plan.show

    def levels_at(frame: int) -> dict[int, bytes]:
        levels = levels_from(patch, on_wire(rig, show, np.array([frame / show.fps])))[0]
        used = zip(patch.universes, patch.counts, strict=True)
        return {number: levels[u, :slots].tobytes() for u, (number, slots) in enumerate(used)}

    pace, stopped = Pace(), FINE
    state = Sending(source_id(_here(rig)), source_name(rig.house), priority)
    if not json:
        say("sending; Ctrl-C ends it" if seconds is None else f"sending for {seconds:g} s")
    with stoppable():
        try:
            send_show(line, state, levels_at, fps=show.fps, seconds=seconds, pace=pace)
        except KeyboardInterrupt as stop:
            stopped = status_of(stop)
        except OSError as error:
            fail(f"cannot send to {line.said}: {error.strerror or error}")
    if json:
        print_json(as_json(plan, pace))
    else:
        print_blocks(console(), sent_blocks(plan, pace))
    if stopped:
        say("stopped")
        raise typer.Exit(stopped)


def _here(rig: Rig) -> str:
    """What tells this machine and house from any other."""
    import uuid

    return f"send {uuid.getnode():x} {Path(rig.house.file).resolve()}"


@contextmanager
def stoppable() -> Iterator[None]:
    """The first Ctrl-C, or request to end, raises KeyboardInterrupt; more have to wait."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    once = False

    def stop(number: int, frame: FrameType | None) -> None:
        nonlocal once
        if not once:
            once = True
            raise KeyboardInterrupt if number == signal.SIGINT else Ended(number)

    before: dict[int, Any] = {}
    for each in STOPS:
        before[each] = signal.signal(each, stop)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
