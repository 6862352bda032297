"""`evenfall listen HOUSE`: what arrives over E1.31, and what it asks of the house, live."""

from __future__ import annotations

from contextlib import ExitStack
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from sim.cli.common import (
    DANGER,
    FINE,
    HouseArgument,
    JsonFlag,
    announce_compiling,
    fail,
    parse_span_s,
    read_beside,
    say,
    will_write,
    writing,
)
from sim.cli.ending import status_of
from sim.cli.frames import needs_universes
from sim.cli.preview import ScaleOption, has_display
from sim.cli.send import stoppable
from sim.cli.streams import writes_every_letter

if TYPE_CHECKING:
    from layouts.records import House
    from sim.data.patch import HousePatch
    from sim.report.listen import LiveSecond


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
    text: Annotated[
        bool, typer.Option("--text", help="Lines here, not a window; so too without a display.")
    ] = False,
    scale: ScaleOption = None,
    json: JsonFlag = False,
) -> None:
    """What is sent to this house, seen on it with live load, least volts and sources."""
    will_write(capture, endings=(".pcap",), inputs=(house,))
    announce_compiling()
    from layouts import load_house
    from sim.circuit import build
    from sim.data.inbox import Inbox
    from sim.data.patch import patch_of
    from sim.data.pcap import pcap_header
    from sim.data.sockets import receiving_sockets
    from sim.report.cautions import FLASHING, WIRING
    from sim.report.listen_loop import is_dangerous, live_seconds, warm

    built = load_house(house)
    will_write(capture, endings=(".pcap",), inputs=read_beside(built))
    patch = patch_of(built)
    needs_universes(house, patch)
    network = build(built)
    warm(network, patch)
    sockets = receiving_sockets(at, patch.universes, port=port, multicast=multicast)
    say(_where(built, patch, at, port, multicast))
    for caution in (*WIRING, *FLASHING):
        say(f"! {caution}")
    stopped, dangerous = FINE, False
    with ExitStack() as stack:
        file = stack.enter_context(writing(capture)) if capture is not None else None
        if file is not None:
            file.write(pcap_header())
        stack.enter_context(stoppable())
        inbox = stack.enter_context(Inbox(sockets))
        try:
            if not (json or text) and has_display():
                from sim.app.listening import run_listening

                run = partial(live_seconds, inbox, network, patch, seconds=seconds, file=file)
                dangerous = run_listening(house, run, scale=scale)
            else:
                for second in live_seconds(inbox, network, patch, seconds=seconds, file=file):
                    try:
                        _tell(second, json)
                    except OSError as error:  # not of the capture
                        fail(f"standard output: {error.strerror or error}")
                    dangerous |= is_dangerous(second)
        except KeyboardInterrupt as stop:
            stopped = status_of(stop)
    if capture is not None:
        say(f"wrote {capture}")
    if stopped:
        say("stopped")
        raise typer.Exit(stopped)
    if dangerous:
        raise typer.Exit(DANGER)


def _tell(second: LiveSecond, json: bool) -> None:
    """One line of JSON, or lines for a person with the sources below."""
    from sim.report.listen import as_json, as_lines, source_lines

    if json:
        import json as encoder

        from sim.report.jsonable import jsonable

        line = jsonable(as_json(second))
        escaped = not writes_every_letter()
        print(encoder.dumps(line, ensure_ascii=escaped, allow_nan=False), flush=True)
        return
    for line in (*as_lines(second), *source_lines(second.universes)):
        print(line, flush=True)


def _where(house: House, patch: HousePatch, at: str | None, port: int, multicast: bool) -> str:
    numbers = ", ".join(map(str, patch.universes))
    if at is not None and not multicast:
        where = f"at {at}, port {port}"
    else:
        where = f"to the groups of these universes, port {port}" + (f", on {at}" if at else "")
    return f"{house.name}: listening {where} for universes {numbers}; Ctrl-C ends it"
