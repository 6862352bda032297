"""An SVG file as a tree of elements that remember where they stood.

What a hostile file could do ends here, before any other library sees the text: entities are
refused as they are declared, and so are too many elements and too deep a nesting while they come.
Nothing is loaded beside the file: no document type, no style sheet, no picture.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from xml.parsers import expat

from layouts.errors import InputError, Problem
from layouts.files.pipes import read_bytes

MAX_BYTES = 20_000_000
MAX_ELEMENTS = 10_000
MAX_DEPTH = 100

SVG_NAMESPACE = "http://www.w3.org/2000/svg"


@dataclass(slots=True)
class Element:
    """One element: its tag without the namespace of SVG, and its line and column, from 1."""

    tag: str
    attributes: dict[str, str]
    at: tuple[int, int]
    children: list[Element] = field(default_factory=list)
    text: str = ""

    def walk(self) -> Iterator[Element]:
        """This element and all below it, in the order of the file."""
        yield self
        for child in self.children:
            yield from child.walk()

    @property
    def whole_text(self) -> str:
        """Its text with that of all below it, in single spaces."""
        return " ".join(" ".join(each.text for each in self.walk()).split())


def read_tree(path: str | os.PathLike[str]) -> Element:
    """The root element of the SVG file at `path`.

    Raises InputError for what is missing, too large, no XML, no SVG or hostile.
    """
    file = os.fspath(path)
    try:
        if Path(path).is_dir():
            raise _refusal(file, (1, 1), "this is a folder, not a file", "name a file in it")
        data = read_bytes(Path(path), MAX_BYTES + 1)
    except FileNotFoundError:
        raise _refusal(file, (1, 1), "there is no such file", "check the path") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise _refusal(file, (1, 1), f"cannot read the file: {reason}", "check the path") from None
    return parse_tree(data, file)


def parse_tree(data: bytes, file: str) -> Element:
    """The root element of the SVG text in `data`; `file` is the name that problems carry."""
    if len(data) > MAX_BYTES:
        what = f"the file has more than {MAX_BYTES / 1e6:g} MB"
        raise _refusal(file, (1, 1), what, "leave out what is not the house")
    if not data.strip():
        raise _refusal(file, (1, 1), "the file is empty", "save the drawing as plain SVG")
    reader = _TreeReader(file)
    try:
        reader.parser.Parse(data, True)
    except expat.ExpatError as error:
        at = (error.lineno, error.offset + 1)
        what = f"this is not XML: {expat.ErrorString(error.code)}"
        raise _refusal(file, at, what, "save the drawing as plain SVG again") from None
    except (LookupError, ValueError) as error:  # an encoding that nobody knows
        do = "save the drawing as plain SVG in UTF-8"
        raise _refusal(file, (1, 1), f"this cannot be read as text: {error}", do) from None
    root = reader.root
    if root is None or root.tag != "svg":
        found = "" if root is None else f", but of {root.tag.rpartition('}')[2]}"
        at = (1, 1) if root is None else root.at
        raise _refusal(file, at, f"this is not a drawing of SVG{found}", "save it as plain SVG")
    return root


def _refusal(file: str, at: tuple[int, int], what: str, do: str) -> InputError:
    return InputError([Problem(file, *at, what, do)])


class _TreeReader:
    """Builds elements from the events of expat, and ends where a bound is reached."""

    def __init__(self, file: str):
        self._file = file
        self.root: Element | None = None
        self._open: list[Element] = []
        self._count = 0
        parser = expat.ParserCreate(namespace_separator="}")
        parser.buffer_text = True
        parser.SetParamEntityParsing(expat.XML_PARAM_ENTITY_PARSING_NEVER)
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._text
        parser.EntityDeclHandler = self._entity
        parser.ExternalEntityRefHandler = self._entity
        parser.SkippedEntityHandler = self._entity
        self.parser = parser

    def _at(self) -> tuple[int, int]:
        return self.parser.CurrentLineNumber, self.parser.CurrentColumnNumber + 1

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self._count += 1
        if self._count > MAX_ELEMENTS:
            what = f"the drawing has more than {MAX_ELEMENTS} elements"
            raise _refusal(self._file, self._at(), what, "leave out what is not the house")
        if len(self._open) >= MAX_DEPTH:
            what = f"elements more than {MAX_DEPTH} deep in each other"
            raise _refusal(self._file, self._at(), what, "ungroup them")
        plain = {name.rpartition("}")[2]: value for name, value in attributes.items()}
        # the attribute without a namespace goes before one with
        plain |= {name: value for name, value in attributes.items() if "}" not in name}
        space, _, short = tag.rpartition("}")
        named = short if space in ("", SVG_NAMESPACE) else tag
        element = Element(named, plain, self._at())
        if self._open:
            self._open[-1].children.append(element)
        else:
            self.root = element
        self._open.append(element)

    def _end(self, tag: str) -> None:
        self._open.pop()

    def _text(self, text: str) -> None:
        if self._open:
            self._open[-1].text += text

    def _entity(self, *told: object) -> int:
        name = next((each for each in told if isinstance(each, str)), "")
        what = f"the entity '{name}' is not allowed: text that stands for other text or for a file"
        do = "save the drawing as plain SVG, without entities"
        raise _refusal(self._file, self._at(), what, do)
