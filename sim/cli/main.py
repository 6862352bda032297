"""The command `evenfall`: its verbs, and how every one of them ends.

Exit status: 0 fine; 1 findings of level danger; 2 the input or the call is wrong; 3 a mistake of
evenfall itself; 130 stopped (143 by a request to end, 129 by a terminal that is gone).
"""

from __future__ import annotations

import gc
import os
import signal
import sys
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from importlib import import_module
from pathlib import Path
from typing import Annotated, Any, NoReturn

import typer
from typer.core import TyperGroup

from sim.cli.common import BROKEN, fail, say
from sim.cli.ending import heed, status_of
from sim.cli.letters import ALIKE
from sim.cli.numba_settings import ignore_those_here
from sim.cli.streams import NOT_TAKEN, flush, give_up, reopen, widen, widen_help

#: Every verb, in the order in which help tells them; those whose function is called otherwise; and
#: those that take several kinds after one flag.
VERBS = (
    *("demo", "new", "check", "list", "preview", "draw", "render", "power", "compare", "season"),
    *("parts", "fault", "diagnose", "repair", "plan", "handover", "meter", "schema", "patch"),
    *("frames", "send", "listen"),
)
FUNCTIONS = {"list": "list_"}
SEVERAL_KINDS = ("compare", "plan")

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
        from layouts.errors import EvenfallError  # loads numpy, which help does without

        if isinstance(error, EvenfallError):
            fail(str(error))
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
    from layouts.errors import shown

    context = getattr(error, "ctx", None)
    command = context.command_path if context else "evenfall"
    text = shown(" ".join(error.format_message().split()).rstrip("."))
    for said, meant in _PLAINER:
        text = text.replace(said, meant)
    return f"{command}: {text[:1].lower()}{text[1:]}; see '{command} --help'"


def app_of(verbs: Iterable[str], *, told: bool = False) -> typer.Typer:
    """The command with some of its verbs: each is a file of this folder and a function in it.

    `told`: only help will be asked of it, and what each verb takes is not worked out.
    """
    made = typer.Typer(
        cls=Verbs,
        name="evenfall",
        add_completion=False,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"]},
        help="See a house lit by permanent addressable LEDs, and what that light costs.",
    )
    made.callback(invoke_without_command=True)(evenfall)
    for verb in verbs:
        module = import_module(f"sim.cli.{verb}")
        kind: type[typer.core.TyperCommand] | None = None
        if verb in SEVERAL_KINDS:
            from sim.cli.compare import SeveralKinds

            kind = SeveralKinds
        function = getattr(module, FUNCTIONS.get(verb, verb))
        made.command(verb, cls=kind)(_named(function) if told else function)
    return made


def _named(function: Callable[..., None]) -> Callable[[], None]:
    """Stands for a verb in the list of all verbs, without what it takes."""

    def verb() -> None:
        raise AssertionError("stands in a list")

    verb.__doc__ = function.__doc__
    return verb


def __getattr__(name: str) -> Any:
    """`app`: the command with all its verbs, for those who call it from Python."""
    if name == "app":
        return app_of(VERBS)
    raise AttributeError(name)


def _print_version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        typer.echo(f"evenfall {version('evenfall')}")
        raise typer.Exit


def evenfall(
    ctx: typer.Context,
    version: Annotated[
        bool,
        typer.Option(
            "--version", is_eager=True, callback=_print_version, help="Print the version and leave."
        ),
    ] = False,
) -> None:
    """See a house lit by permanent addressable LEDs, and what that light costs."""
    if ctx.invoked_subcommand is None:
        typer.echo(ctx.get_help())


def main() -> None:
    """The entry point of the command."""
    if hasattr(signal, "SIGPIPE"):  # `evenfall … | head` ends as other commands do
        signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    reopen()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):  # a terminal without → and − still gets its report
            stream.reconfigure(errors=ALIKE)
    widen()
    widen_help(sys.argv[1:])
    heed()
    # What a verb makes it mostly keeps until it ends: to look for rubbish at every turn, as Python
    # does, takes a tenth of the time of short ones.
    gc.set_threshold(20_000, 20, 20)
    # Nobody's plugins are to see our files; looking for them takes longer than reading one.
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    # numba takes settings from a file in the folder that one happens to work in, and compiled code
    # from where they say. The environment goes before that file; empty is the usual place.
    for place in ("NUMBA_CACHE_DIR", "NUMBA_CACHE_LOCATOR_CLASSES"):
        os.environ.setdefault(place, "")
    ignore_those_here()
    called = [word for word in sys.argv[1:] if word in VERBS]
    one = called[:1] if called[:1] == sys.argv[1:2] else []
    try:
        # One verb is all that has to be imported for it; without any there is only help to give.
        app_of(one or VERBS, told=not called)()
    finally:
        flush()


if __name__ == "__main__":
    main()
