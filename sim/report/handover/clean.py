"""Names as they may stand in a document: what HTML or a reader cannot take is shown as a mark.

A name of a house file may hold anything. Control characters are no part of HTML, and those that
turn the direction of writing would make one name look like another.
"""

from __future__ import annotations

import re

#: C0 and DEL have pictures of their own; C1, directions, lone surrogates and non-characters none.
_NONE = re.compile(
    "[\x80-\x9f\u200b-\u200f\u2028-\u202e\u2066-\u2069\ufeff\ud800-\udfff\ufdd0-\ufdef\ufffe\uffff]"
    "|[\U0001fffe\U0001ffff\U0002fffe\U0002ffff\U0003fffe\U0003ffff\U0010fffe\U0010ffff]"
)
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


def clean(text: str) -> str:
    """The text with every such character made visible, lines joined."""
    seen = _CONTROL.sub(_picture, " ".join(re.split("[\t\r\n]+", text)))
    return _NONE.sub("\ufffd", seen)


def _picture(found: re.Match[str]) -> str:
    code = ord(found[0])
    return "\u2421" if code == 0x7F else chr(0x2400 + code)
