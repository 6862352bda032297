"""The command `evenfall`: its verbs, and how every one of them ends.

Exit status: 0 fine; 1 findings of level danger; 2 the input or the call is wrong; 3 a mistake of
evenfall itself; 130 stopped (143 by a request to end, 129 by a terminal that is gone).
"""

from __future__ import annotations

import os
import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, NoReturn

import typer
from typer.core import TyperGroup

from layouts.errors import EvenfallError, shown
from sim.cli.check import check
from sim.cli.common import BROKEN, fail, say
from sim.cli.compare import SeveralKinds, compare
from sim.cli.demo import demo
from sim.cli.diagnose import diagnose
from sim.cli.draw import draw
from sim.cli.ending import heed, status_of
from sim.cli.fault import fault
from sim.cli.frames import frames
from sim.cli.handover import handover
from sim.cli.list import list_
from sim.cli.listen import listen
from sim.cli.meter import meter
from sim.cli.new import new
from sim.cli.parts import parts
from sim.cli.patch import patch
from sim.cli.plan import plan
from sim.cli.power import power
from sim.cli.preview import preview
from sim.cli.render import render
from sim.cli.repair import repair
from sim.cli.schema import schema
from sim.cli.season import season
from sim.cli.send import send
from sim.cli.streams import NOT_TAKEN, flush, give_up, open_what_is_shut, widen

#: The environment variable that has the traceback of a mistake of ours printed.
TRACEBACK = "EVENFALL_TRACEBACK"

#: What the libraries say of a value, and how we would.
_PLAINER = (
    ("Value error, ", ""),
    ("Input should be less than or equal to", "it must be at most"),
    ("Input should be greater than or equal to", "it must be at least"),
    ("Input should be a valid", "it must be a valid"),
)


class Verbs(TyperGroup):
    """Turns every refusal of a verb into lines for the user, never a traceback."""

    def make_context(self, info_name: Any, args: list[str], *more: Any, **extra: Any) -> Any:
        with _refusals():
            for argument in args:
                if "\0" in argument:
                    told = argument.replace("\0", "\\0")
                    fail(f"evenfall: {told}: a name cannot hold the character NUL")
            return super().make_context(info_name, args, *more, **extra)

    def invoke(self, ctx: Any) -> Any:
        with _refusals():
            return super().invoke(ctx)


@contextmanager
def _refusals() -> Iterator[None]:
    try:
        yield
    except EvenfallError as error:
        fail(str(error))
    except typer.TyperException as error:
        fail(_usage(error))
    except BrokenPipeError:
        raise
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        if not where and error.errno in NOT_TAKEN:  # files that are written tell their names
            where = "standard output: "
            give_up()
        fail(f"{where}{error.strerror or error}")
    except KeyboardInterrupt as stop:
        say("stopped")
        raise typer.Exit(status_of(stop)) from None
    except Exception as error:
        if isinstance(error, (typer.Exit, typer.Abort)):
            raise
        if isinstance(error, SystemError) and (by := _interrupted(error)) is not None:
            say("stopped")
            raise typer.Exit(status_of(by)) from None
        _internal(error)


def _interrupted(error: BaseException | None) -> KeyboardInterrupt | None:
    """The stop that came while compiled code ran, which wraps it in an error of its own."""
    while error is not None:
        if isinstance(error, KeyboardInterrupt):
            return error
        error = error.__cause__ or error.__context__
    return None


def _internal(error: Exception) -> NoReturn:
    """End with status 3: a mistake of ours, told in a few lines with what to report."""
    if os.environ.get(TRACEBACK):
        import traceback

        say("".join(traceback.format_exception(error)).rstrip())
    at = error.__traceback__
    while at is not None and at.tb_next is not None:
        at = at.tb_next
    where = f" ({Path(at.tb_frame.f_code.co_filename).name}:{at.tb_lineno})" if at else ""
    what = " ".join(str(error).split())
    say(f"evenfall: a mistake of evenfall itself: {type(error).__name__}: {what}{where}")
    say("please report this line, the command and its files")
    if not os.environ.get(TRACEBACK):
        say(f"for the whole story: {TRACEBACK}=1 and the same command")
    raise typer.Exit(BROKEN) from None


def _usage(error: typer.TyperException) -> str:
    context = getattr(error, "ctx", None)
    command = context.command_path if context else "evenfall"
    text = shown(" ".join(error.format_message().split()).rstrip("."))
    for said, meant in _PLAINER:
        text = text.replace(said, meant)
    return f"{command}: {text[:1].lower()}{text[1:]}; see '{command} --help'"


app = typer.Typer(
    cls=Verbs,
    name="evenfall",
    add_completion=False,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
    help="See a house lit by permanent addressable LEDs, and what that light costs.",
)


@app.callback(invoke_without_command=True)
def evenfall(ctx: typer.Context) -> None:
    """See a house lit by permanent addressable LEDs, and what that light costs."""
    if ctx.invoked_subcommand is None:
        typer.echo(ctx.get_help())


app.command()(demo)
app.command()(new)
app.command()(check)
app.command("list")(list_)
app.command()(preview)
app.command()(draw)
app.command()(render)
app.command()(power)
app.command(cls=SeveralKinds)(compare)
app.command()(season)
app.command()(parts)
app.command()(fault)
app.command()(diagnose)
app.command()(repair)
app.command(cls=SeveralKinds)(plan)
app.command()(handover)
app.command()(meter)
app.command()(schema)
app.command()(patch)
app.command()(frames)
app.command()(send)
app.command()(listen)


def main() -> None:
    """The entry point of the command."""
    if hasattr(signal, "SIGPIPE"):  # `evenfall … | head` ends as other commands do
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    open_what_is_shut()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal without → and − still gets its report
            stream.reconfigure(errors="replace")
    widen()
    heed()
    try:
        app()
    finally:
        flush()


if __name__ == "__main__":
    main()
