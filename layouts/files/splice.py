"""One value put into, taken out of or exchanged in YAML text.

Each function takes the text, the document read from it, a path and a value, and returns the new
text. They raise NotThere where the text is written in a way not foreseen; `edits` reads every
result again.
"""

from __future__ import annotations

from typing import Any

from layouts.files import emit, spans
from layouts.files.document import Document, Path
from layouts.files.nodes import Node

#: How far the dashes of a list stand to the right of its key, where no list of the file shows it.
STEP = 2


def replaced(text: str, document: Document, path: Path, value: Any) -> str:
    """Another value in the place of the one at `path`."""
    node, parent = _node(document, path), _node(document, path[:-1])
    if _through_alias(document, path):
        raise spans.NotThere
    start, end = node.span
    if isinstance(parent.children, list) or parent.flow:
        return _in_place(text, parent, path[-1], node, value)
    key_start, key_end = _key(parent, path[-1])
    lines = emit.block(value, spans.column(text, key_start), _step(text, document.root))
    colon = spans.past_colon(text, key_end)
    if lines is None and not _in_lines(node):
        return _in_place(text, parent, path[-1], node, value)
    if _in_lines(node):
        text = text[: spans.line_end(text, colon)] + text[spans.line_end(text, end) :]
    elif start < end:
        text = text[:colon] + text[end:]
    if lines is None:
        return f"{text[:colon]} {emit.inline(value)}{text[colon:]}"
    return spans.with_lines(text, colon, lines)


def inserted(text: str, document: Document, path: Path, value: Any) -> str:
    """A key that was not there, or one more entry before the index that `path` ends with."""
    parent = _node(document, path[:-1])
    if _through_alias(document, path[:-1]):
        raise spans.NotThere
    if not parent.children:
        if parent.value is not None and parent.children is None:
            raise spans.NotThere
        new = [value] if isinstance(parent.children, list) else {path[-1]: value}
        if len(path) > 1:
            return replaced(text, document, path[:-1], new)
        inner = emit.inline(new)[1:-1]
        return text[: parent.span[1] - 1] + inner + text[parent.span[1] - 1 :]
    if isinstance(parent.children, list):
        return _entry(text, document, parent, parent.children, int(path[-1]), value)
    return _pair(text, document, parent, parent.children, str(path[-1]), value)


def removed(text: str, document: Document, path: Path, _: Any = None) -> str:
    """Nothing at `path` any more."""
    parent = _node(document, path[:-1])
    if _through_alias(document, path[:-1]):
        raise spans.NotThere
    step, node = path[-1], _node(document, path)
    is_list = isinstance(parent.children, list)
    if len(parent.children or ()) == 1:
        if not parent.flow and len(path) == 1:
            raise spans.NotThere  # a file cannot be nothing but comments
        return _emptied(text, document, path[:-1], [] if is_list else {})
    if is_list and not parent.flow:
        start = _dash(text, parent, int(step))
    else:
        start = node.span[0] if is_list else _key(parent, step)[0]
    if parent.flow:
        return _out_of_brackets(text, parent, step, start, node.span[1])
    end = max(node.span[1], start + 1)
    if text[spans.line_start(text, start) : start].strip():
        return spans.without_first(text, start, end)
    return text[: spans.line_start(text, start)] + text[spans.next_line(text, end) :]


def moved(text: str, document: Document, path: Path, to: int) -> str:
    """The entry of a list at `path`, as it is written, where number `to` stands."""
    parent, step = _node(document, path[:-1]), int(path[-1])
    entries = parent.children
    if not isinstance(entries, list) or not 0 <= to < len(entries):
        raise LookupError(to)
    if to == step:
        return text
    if parent.flow or _through_alias(document, path[:-1]):
        raise spans.NotThere

    def lines(index: int) -> tuple[int, int]:
        start = _dash(text, parent, index)
        if text[spans.line_start(text, start) : start].strip():
            raise spans.NotThere  # it shares its line with what it is an entry of
        end = max(entries[index].span[1], start + 1)
        return spans.line_start(text, start), spans.next_line(text, end)

    (start, end), (there, after) = lines(step), lines(to)
    taken = text[start:end]
    if not taken.endswith("\n") or not text[there:after].endswith("\n"):
        raise spans.NotThere
    if to > step:
        return text[:start] + text[end:after] + taken + text[after:]
    return text[:there] + taken + text[there:start] + text[end:]


def rekeyed(text: str, document: Document, path: Path, key: str) -> str:
    """Another key in the place of the last of `path`."""
    start, end = _key(_node(document, path[:-1]), path[-1])
    if _through_alias(document, path[:-1]):
        raise spans.NotThere
    return text[:start] + emit.key_text(key) + text[end:]


def _in_place(text: str, parent: Node, step: Any, node: Node, value: Any) -> str:
    start, end = node.span
    new = emit.inline(value)
    if start < end:
        if node.flow or not node.children:
            return text[:start] + new + text[end:]
        return text[:start] + new + text[spans.line_end(text, end) :]
    if isinstance(parent.children, dict) and ":" not in text[_key(parent, step)[1] : start]:
        return f"{text[:start]}: {new}{text[start:]}"
    return text[:start] + ("" if text[start - 1].isspace() else " ") + new + text[start:]


def _entry(
    text: str, document: Document, parent: Node, entries: list[Node], index: int, value: Any
) -> str:
    beside = entries[max(0, index - 1)]
    if parent.flow:
        if index > 0:
            return _put(text, beside.span[1], ", " + emit.inline(value))
        return _put(text, beside.span[0], emit.inline(value) + ", ")
    first = _dash(text, parent, 0)
    column = spans.column(text, first)
    in_lines = True if _in_lines(beside) else False if beside.flow else None
    lines = emit.item(value, column, _step(text, document.root), in_lines=in_lines)
    if index > 0:
        end = max(beside.span[1], _dash(text, parent, index - 1) + 1)
        return spans.with_lines(text, end, lines)
    return _before(text, first, lines)


def _pair(
    text: str, document: Document, parent: Node, entries: dict[Any, Node], key: str, value: Any
) -> str:
    if parent.flow:
        end = max(list(entries.values())[-1].span[1], _key(parent, list(entries)[-1])[1])
        return _put(text, end, f", {emit.key_text(key)}: {emit.inline(value)}")
    names = list(entries)
    start = _key(parent, names[0])[0]
    column = spans.column(text, start)
    lines = emit.pair(key, value, column, _step(text, document.root))
    # A short value goes above the sections, with the other short ones.
    deep = [place for place, each in enumerate(entries.values()) if _in_lines(each)]
    place = deep[0] if deep and len(lines) == 1 else len(names)
    if place == 0:
        return _before(text, start, lines)
    name = names[place - 1]
    return spans.with_lines(text, max(entries[name].span[1], _key(parent, name)[1]), lines)


def _before(text: str, start: int, lines: list[str]) -> str:
    """The text with `lines` in the place of what begins at `start`, and that below them."""
    ending = spans.newline(text)
    indent = " " * spans.column(text, start)
    return _put(text, start, ending.join(lines).lstrip() + ending + indent)


def _emptied(text: str, document: Document, path: Path, empty: Any) -> str:
    """The list or mapping at `path` without its only entry; comments stay."""
    node = _node(document, path)
    if not node.flow and path:
        parent = _node(document, path[:-1])
        if isinstance(parent.children, dict):
            colon = spans.past_colon(text, _key(parent, path[-1])[1])
            is_list = isinstance(node.children, list)
            begin = _dash(text, node, 0) if is_list else node.span[0]
            line = spans.line_start(text, begin)
            after = spans.next_line(text, max(node.span[1], begin + 1))
            text = text[:line] + text[after:]
            return _put(text, colon, " " + emit.inline(empty))
    return text[: node.span[0]] + emit.inline(empty) + text[node.span[1] :]


def _out_of_brackets(text: str, parent: Node, step: Any, start: int, end: int) -> str:
    children = parent.children
    assert children is not None
    steps = list(children) if isinstance(children, dict) else list(range(len(children)))
    end = max(end, start + 1)
    behind = spans.comma(text, end)
    if behind is not None:
        return spans.without(text, start, behind + 1)
    before = steps[steps.index(step) - 1]
    node = parent.child(before)
    assert node is not None
    there = max(node.span[1], _key(parent, before)[1] if isinstance(children, dict) else 0)
    at = spans.comma(text, there)
    if at is None:
        raise spans.NotThere
    return text[:at] + spans.without(text[at + 1 :], start - at - 1, end - at - 1)


def _put(text: str, at: int, new: str) -> str:
    return text[:at] + new + text[at:]


def _node(document: Document, path: Path) -> Node:
    node = document.node(path)
    if node is None:
        raise spans.NotThere
    return node


def _through_alias(document: Document, path: Path) -> bool:
    return any(_node(document, path[:depth]).alias for depth in range(len(path) + 1))


def _in_lines(node: Node) -> bool:
    """Whether a list or mapping is written in lines, and not as an alias."""
    return bool(node.children) and not node.flow and not node.alias


def _key(parent: Node, step: Any) -> tuple[int, int]:
    if parent.key_span is None:
        raise spans.NotThere
    return parent.key_span[step]


def _dash(text: str, parent: Node, index: int) -> int:
    """Where the dash of an entry of a list in lines stands."""
    at = parent.span[0]
    assert isinstance(parent.children, list)
    for number in range(index + 1):
        at = spans.dash(text, at)
        if number < index:
            at = max(at + 1, parent.children[number].span[1])
    return at


def _step(text: str, root: Node) -> int:
    """How far the dashes of the file's lists stand to the right of their keys."""
    children = root.children if isinstance(root.children, dict) else {}
    for key, node in children.items():
        if _in_lines(node) and isinstance(node.children, list):
            key_start, _ = _key(root, key)
            return max(0, spans.column(text, node.span[0]) - spans.column(text, key_start))
    return STEP
