"""What is printed for letters that a stream's encoding lacks: `->` for an arrow, `#` for a bar.

Parts of a bar keep their cells; other letters may take more, as `Ohm` does. What has no likeness
here, letters of names above all, is a `?`, which nobody takes for a letter of the name.
"""

from __future__ import annotations

import codecs

#: The name of this way to treat letters that cannot be encoded, for `errors=` of a stream.
ALIKE = "evenfall-alike"

_LIKENESSES = {
    **dict.fromkeys("█▉▊▋▌", "#"),
    **dict.fromkeys("▍▎▏", " "),
    **dict.fromkeys("−–—─━", "-"),
    **dict.fromkeys("│┃", "|"),
    **dict.fromkeys("┆┄", ":"),
    **dict.fromkeys("µμ", "u"),
    **dict.fromkeys("\u03a9\u2126", "Ohm"),  # the letter, and the unit of the same look
    **dict.fromkeys("‘’′", "'"),
    **dict.fromkeys("“”„″", '"'),
    **dict.fromkeys("\u00a0\u2007\u202f", " "),
    **{"→": "->", "←": "<-", "…": "...", "°": "deg", "²": "2", "³": "3", "×": "x", "·": "*"},
    **{"±": "+-", "≤": "<=", "≥": ">=", "≈": "~", "Δ": "d", "€": "EUR", "£": "GBP"},
}


def alike(error: UnicodeError) -> tuple[str, int]:
    """What stands for the letters that could not be encoded, and where to go on."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    lacking = error.object[error.start : error.end]
    return "".join(_LIKENESSES.get(letter, "?") for letter in lacking), error.end


codecs.register_error(ALIKE, alike)
