"""Where a kind that cannot be computed with is written in its house file."""

from __future__ import annotations

from layouts.errors import EvenfallError, InputError, UnmixableKind
from layouts.records import House


def located(error: UnmixableKind, house: House) -> EvenfallError:
    """The same refusal by line and column; as it is where the file does not write that kind."""
    from layouts.files.document import read

    if not house.file:
        return error
    try:
        document = read(house.file)
    except EvenfallError:  # changed or gone since it was read
        return error
    if document.node(("kinds", error.kind)) is None:
        return error
    inner = ("channels", error.channel) if error.channel else ()
    what = f"kind {error.kind}: {error.what}"
    return InputError([document.problem(("kinds", error.kind, *inner), what, error.do, key=True)])
