"""`evenfall listen HOUSE`: what arrives over E1.31, and what it asks of the house, live."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, BinaryIO

import typer

from sim.cli.common import (
    DANGER,
    STOPPED,
    HouseArgument,
    JsonFlag,
    announce_compiling,
    parse_span_s,
    read_beside,
    say,
    will_write,
    writing,
)
from sim.cli.frames import needs_universes
from sim.cli.send import stoppable

if TYPE_CHECKING:
    from layouts.records import House
    from sim.circuit import Network
    from sim.data.inbox import Inbox, Letter
    from sim.data.patch import HousePatch
    from sim.data.taking import TakenFrame
    from sim.report.listen import LiveLoad, LiveSecond

#: How often the inbox is emptied, and how often is told [s].
_TURN_S, _TELL_S = 0.05, 1.0


def listen(
    house: HouseArgument,
    at: Annotated[
        str | None,
        typer.Option(
            "--at",
            metavar="ADDRESS",
            help="Of this machine: what is sent to it. Left out: the groups of the universes.",
        ),
    ] = None,
    multicast: Annotated[
        bool, typer.Option("--multicast", help="The groups, on the interface that has --at.")
    ] = False,
    port: Annotated[
        int, typer.Option("--port", min=1, max=65535, help="UDP port; the standard's is 5568.")
    ] = 5568,
    seconds: Annotated[
        float | None,
        typer.Option(
            "--seconds", parser=parse_span_s, metavar="TIME", help="Left out: until Ctrl-C."
        ),
    ] = None,
    capture: Annotated[
        Path | None, typer.Option("--capture", metavar="FILE", help="Keep what arrives: .pcap")
    ] = None,
    json: JsonFlag = False,
) -> None:
    """Live load, least volts and sources of what is sent to this house; a line a second."""
    will_write(capture, endings=(".pcap",), inputs=(house,))
    announce_compiling()
    from layouts import load_house
    from sim.circuit import build
    from sim.data.inbox import Inbox
    from sim.data.patch import patch_of
    from sim.data.pcap import pcap_header
    from sim.data.sockets import receiving_sockets
    from sim.report.cautions import FLASHING, WIRING

    built = load_house(house)
    will_write(capture, endings=(".pcap",), inputs=read_beside(built))
    patch = patch_of(built)
    needs_universes(house, patch)
    network = build(built)
    _warm(network, patch)
    sockets = receiving_sockets(at, patch.universes, port=port, multicast=multicast)
    say(_where(built, patch, at, port, multicast))
    for caution in (*WIRING, *FLASHING):
        say(f"! {caution}")
    stopped, dangerous = False, False
    with ExitStack() as stack:
        file = stack.enter_context(writing(capture)) if capture is not None else None
        if file is not None:
            file.write(pcap_header())
        stack.enter_context(stoppable())
        inbox = stack.enter_context(Inbox(sockets))
        try:
            for second in _seconds(inbox, network, patch, seconds, file):
                _tell(second, json)
                found = second.load.findings if second.load else ()
                dangerous |= any(each.level == "danger" for each in found)
        except KeyboardInterrupt:
            stopped = True
    if capture is not None:
        say(f"wrote {capture}")
    if stopped:
        say("stopped")
        raise typer.Exit(STOPPED)
    if dangerous:
        raise typer.Exit(DANGER)


def _seconds(
    inbox: Inbox,
    network: Network,
    patch: HousePatch,
    seconds: float | None,
    file: BinaryIO | None,
) -> Iterator[LiveSecond]:
    """Listen, and yield a `LiveSecond` every second and one at the end."""
    from sim.data.listening import listening, played, settled
    from sim.report.listen import LiveSecond, live_load, live_universes

    state = listening(patch.universes, time.time_ns())
    begun = told = time.monotonic()
    before = state.taking.receiver
    frames: list[TakenFrame] = []
    late_ns = 0
    load: LiveLoad | None = None
    most_a, most_s, over = 0.0, 0.0, False
    while not over:
        time.sleep(_TURN_S)
        now = time.monotonic()
        over = seconds is not None and now - begun >= seconds
        letters, read_ns = inbox.taken(), time.time_ns()
        if letters:
            late_ns = max(late_ns, read_ns - min(each.time_ns for each in letters))
        if file is not None:
            _keep(file, letters)
        state, done = played(state, letters)
        frames += done
        if now - told < _TELL_S and not over:
            continue
        state, done = settled(state, read_ns)
        frames += done
        if frames:
            load = live_load(network, patch, frames)
            if load.peak_a > most_a:
                most_a, most_s = load.peak_a, now - begun
        receiver = state.taking.receiver
        yield LiveSecond(
            now - begun,
            load,
            live_universes(patch, before, receiver, now - told),
            dict(receiver.counts),
            inbox.dropped,
            late_ns / 1e6 if late_ns else None,
            most_a,
            most_s,
        )
        told, before, frames, late_ns = now, receiver, [], 0


def _tell(second: LiveSecond, json: bool) -> None:
    """One line of JSON, or lines for a person with the sources below."""
    from sim.report.listen import as_json, as_lines, source_lines

    if json:
        import json as encoder

        from sim.report.jsonable import jsonable

        line = jsonable(as_json(second))
        print(encoder.dumps(line, ensure_ascii=False, allow_nan=False), flush=True)
        return
    for line in (*as_lines(second), *source_lines(second.universes)):
        print(line, flush=True)


def _keep(file: BinaryIO, letters: list[Letter]) -> None:
    """Write what arrived as a capture; heads of Ethernet, IP and UDP are made anew."""
    from sim.data.pcap import pcap_record, udp_frame

    for each in letters:
        frame = udp_frame(each.payload, each.source, each.target)
        file.write(pcap_record(each.time_ns, frame))


def _warm(network: Network, patch: HousePatch) -> None:
    """Have the kernels compiled before the first packet comes."""
    from sim.data.taking import TakenFrame
    from sim.report.listen import live_load

    live_load(network, patch, [TakenFrame(0.0, {})])


def _where(house: House, patch: HousePatch, at: str | None, port: int, multicast: bool) -> str:
    numbers = ", ".join(map(str, patch.universes))
    if at is not None and not multicast:
        where = f"at {at}, port {port}"
    else:
        where = f"to the groups of these universes, port {port}" + (f", on {at}" if at else "")
    return f"{house.name}: listening {where} for universes {numbers}; Ctrl-C ends it"
