"""Drawings that are broken, foreign or hostile: refused at their place, quickly."""

from __future__ import annotations

import socket
import time
import tracemalloc
from pathlib import Path

import pytest

from layouts.errors import InputError
from layouts.svg import read_page
from layouts.svg.shapes import page_of
from layouts.svg.tree import MAX_DEPTH, MAX_ELEMENTS, parse_tree, read_tree

HEAD = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 100">'


def problems(data: str | bytes) -> list[str]:
    raw = data.encode() if isinstance(data, str) else data
    with pytest.raises(InputError) as caught:
        page_of(parse_tree(raw, "a.svg"), "a.svg")
    return str(caught.value).splitlines()


@pytest.mark.parametrize(
    ("data", "told"),
    [
        ("", "a.svg:1:1: the file is empty; save the drawing as plain SVG"),
        ("  \n", "a.svg:1:1: the file is empty"),
        (b"\x89PNG\r\n\x1a\n\0\0\0", "a.svg:1:1: this is not XML"),
        (b"\0" * 100, "a.svg:1:1: this is not XML"),
        (b'<?xml version="1.0" encoding="klingon"?><svg/>', "a.svg:1:"),
        (HEAD + "<rect", "a.svg:1:63: this is not XML: unclosed token"),
        (HEAD + "\n<g><rect/>\n", "a.svg:3:1: this is not XML: no element found"),
        (HEAD + "\n</g></svg>", "a.svg:2:3: this is not XML: mismatched tag"),
        ("\n<html><body/></html>", "a.svg:2:1: this is not a drawing of SVG, but of html"),
        ("<svg:x xmlns:svg='urn:x'/>", "a.svg:1:1: this is not a drawing of SVG, but of x"),
        (
            HEAD.replace("100 100", "0 100") + "</svg>",
            "a.svg:1:1: the page has no width or height",
        ),
        (HEAD.replace("0 0 100 100", "a b") + "</svg>", "a.svg:1:1: the viewBox is not four"),
        (HEAD.replace("100 100", "nan 100") + "</svg>", "a.svg:1:1: the page has no width"),
        (HEAD + '\n <path d="M 0 0 L 1"/></svg>', "a.svg:2:2: the path data of this path cannot"),
        (HEAD + '\n <path d="M 0 0 L 1e300 1e999"/></svg>', "a.svg:2:2: this lies beyond any page"),
        (HEAD + '\n <polygon points="1,2 3"/></svg>', "a.svg:2:2: the points of this polygon"),
        (HEAD + '\n <path d="M 10 10 H"/></svg>',
         "a.svg:2:2: the path data of this path cannot be read"),
        (HEAD + '\n <rect width="a"/></svg>', "a.svg:2:2: the numbers of this rect cannot be read"),
        (HEAD + '\n <rect width="9" height="9" fill="blurple"/></svg>',
         "a.svg:2:2: 'blurple' is not a colour; write it like #8a5a3c"),
        (HEAD + '\n <g transform="rotate(a)"/></svg>',
         "a.svg:2:2: the transform 'rotate(a)' cannot be read"),
        (HEAD + '\n <g transform="matrix(1 2)"/></svg>',
         "a.svg:2:2: the transform 'matrix(1 2)' lacks a number"),
        (HEAD + '\n <g id="a"><use href="#a"/></g></svg>', "a.svg:2:12: 'a' uses itself"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_told_at_its_place(data: str | bytes, told: str) -> None:
    assert problems(data)[0].startswith(told)


def test_all_that_is_wrong_is_told_at_once() -> None:
    found = problems(HEAD + '\n<rect width="a"/>\n<path d="M x"/></svg>')
    assert [each[:8] for each in found] == ["a.svg:2:", "a.svg:3:"]


@pytest.mark.parametrize(
    ("name", "told"), [("none.svg", "there is no such file"), (".", "this is a folder")]
)
def test_files_that_are_none(tmp_path: Path, name: str, told: str) -> None:
    with pytest.raises(InputError, match=told):
        read_tree(tmp_path / name)


LAUGHS = (
    '<?xml version="1.0"?>\n<!DOCTYPE svg [\n <!ENTITY a0 "ha">\n'
    + "".join(f' <!ENTITY a{i} "{f"&a{i - 1};" * 10}">\n' for i in range(1, 30))
    + f"]>\n{HEAD}<text>&a29;</text></svg>"
)


@pytest.mark.parametrize(
    "data",
    [
        LAUGHS,
        f'<!DOCTYPE svg [<!ENTITY x SYSTEM "file:///etc/passwd">]>{HEAD}<text>&x;</text></svg>',
        f'<!DOCTYPE svg [<!ENTITY % x SYSTEM "http://example.org/x.dtd"> %x;]>{HEAD}</svg>',
        f'<!DOCTYPE svg SYSTEM "file:///etc/passwd">{HEAD}<text>&nbsp;</text></svg>',
    ],
)
def test_entities_are_refused_before_they_are_anything(data: str) -> None:
    began = time.process_time()
    found = problems(data)
    assert time.process_time() - began < 0.5
    assert len(found) == 1
    assert "the entity '" in found[0]
    assert found[0].endswith("save the drawing as plain SVG, without entities")


def test_the_usual_document_type_is_taken_and_not_loaded(monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("a socket was asked for")

    monkeypatch.setattr(socket, "socket", refuse)
    data = (
        '<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN"'
        f' "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd">{HEAD}'
        '<style>@import url("http://example.org/a.css"); rect { fill: red }</style>'
        '<rect width="9" height="9"/></svg>'
    )
    page = page_of(parse_tree(data.encode(), "a.svg"), "a.svg")
    assert len(page.shapes) == 1


@pytest.mark.parametrize(
    ("element", "why"),
    [
        ('<image href="file:///etc/passwd"/>', "a picture is not loaded"),
        ('<image href="http://example.org/a.png" width="9" height="9"/>', "a picture is not"),
        ("<script>alert(1)</script>", "a script is not run"),
        ('<use href="http://example.org/a.svg#b"/>', "is not in this file, and no other is read"),
        ('<use href="other.svg#b"/>', "'other.svg#b' is not in this file"),
        ('<use href="#b"/>', "there is no 'b' in this file"),
        ("<foreignObject><p xmlns='http://www.w3.org/1999/xhtml'/></foreignObject>", "not SVG"),
    ],
)
def test_what_is_not_drawn_is_told_and_nothing_is_loaded(
    monkeypatch: pytest.MonkeyPatch, element: str, why: str
) -> None:
    data = f"{HEAD}\n {element}</svg>".encode()
    root = parse_tree(data, "a.svg")

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("a file or a socket was asked for")

    monkeypatch.setattr(socket, "socket", refuse)
    monkeypatch.setattr("builtins.open", refuse)
    page = page_of(root, "a.svg")
    (left,) = page.left_out
    assert left.at == (2, 2)
    assert why in left.why


@pytest.mark.parametrize("element", ["<rect/>", "<g>", '<path d="M0 0 L1 1"/>', "<a:b/>"])
def test_a_million_elements_are_refused_quickly(element: str) -> None:
    close = "</g>" if element == "<g>" else ""
    data = (
        HEAD.replace("<svg", "<svg xmlns:a='u'") + "\n" + (element + close) * 1_000_000
    ).encode()
    data = data[:19_000_000]
    tracemalloc.start()
    began = time.process_time()
    found = problems(data)
    seconds = time.process_time() - began
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert f"the drawing has more than {MAX_ELEMENTS} elements" in found[0]
    assert found[0].startswith("a.svg:2:")
    assert seconds < 3
    assert peak < 60e6


def test_more_bytes_than_any_drawing_are_not_read(tmp_path: Path) -> None:
    file = tmp_path / "a.svg"
    file.write_bytes(HEAD.encode() + b" " * 30_000_000)
    with pytest.raises(InputError, match="the file has more than 20 MB"):
        read_page(file)


def test_nesting_is_bounded() -> None:
    found = problems(HEAD + "<g>" * 100_000)
    assert f"elements more than {MAX_DEPTH} deep in each other; ungroup them" in found[0]


def test_what_is_used_again_and_again_is_bounded() -> None:
    groups = '<g id="a0"><path d="M0 0 L1 1 L1 0"/></g>'
    for i in range(1, 12):
        groups += f'<g id="a{i}">' + f'<use href="#a{i - 1}"/>' * 10 + "</g>"
    began = time.process_time()
    found = problems(f"{HEAD}<defs>{groups}</defs><use href='#a11'/></svg>")
    assert time.process_time() - began < 10
    assert "with all that is used again the drawing has more than" in found[0]


@pytest.mark.parametrize(
    ("inside", "told"),
    [
        ('<path d="M0 0' + " L 1 2" * 2_000_000 + '"/>', "characters of path data; simplify"),
        ('<defs><path id="a" d="M0 0' + " L 1 2" * 10_000 + '"/></defs>' + '<use href="#a"/>' * 90,
         "characters of path data; simplify"),
        ("<style>" + ".a{fill:red}" * 1000 + "</style>", "more than 500 rules of style"),
    ],
)  # fmt: skip
def test_endless_paths_and_rules_are_refused(inside: str, told: str) -> None:
    began = time.process_time()
    assert told in problems(HEAD + inside + "</svg>")[0]
    assert time.process_time() - began < 10
