"""The shapes of a drawing: their paths with all transforms done, how they are painted and named.

Coordinates are those of the drawing's page: x to the right, y down, from its upper left corner.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from pathlib import Path as File
from typing import TYPE_CHECKING

from layouts.errors import InputError, Problem
from layouts.svg.page import LeftOut, Page, Shape, Text
from layouts.svg.primitives import FARTHEST, MAKE, MOST, NUMBER, length_px, lies_on_a_page
from layouts.svg.style import Rgb, Style, StyleRules, colour, gradient_colour, rules_of
from layouts.svg.tree import MAX_DEPTH, MAX_ELEMENTS, Element, read_tree

if TYPE_CHECKING:
    from svgelements import Matrix, Path

#: Of all path data, that of a shape that is used again counted again.
MAX_CHARACTERS = 500_000
_GROUPS = ("g", "a", "svg", "switch", "symbol")
_SHAPES = ("path", "rect", "circle", "ellipse", "line", "polyline", "polygon")
#: What is only used by others, or says something about them.
_SILENT = (
    "defs", "style", "title", "desc", "metadata", "linearGradient", "radialGradient", "pattern",
    "clipPath", "mask", "marker", "filter", "symbol", "namedview",
)  # fmt: skip
_LEFT_OUT = {
    "image": "a picture is not loaded; trace it, or use --photo",
    "script": "a script is not run",
    "foreignObject": "what is not SVG is not read",
    "animate": "what moves is drawn as it stands",
    "animateTransform": "what moves is drawn as it stands",
    "set": "what moves is drawn as it stands",
}
_TRANSFORM = re.compile(
    rf"(?:\s*,?\s*(?:matrix|translate|scale|rotate|skew[XY])\s*"
    rf"\(\s*{NUMBER}(?:(?:\s*,\s*|\s+|(?=[-+])){NUMBER})*\s*\))*\s*"
)


#: The labels of what uses an element, and of the groups around it, the nearest first.
Around = tuple[tuple[str, ...], tuple[str, ...]]


def read_page(path: str | File) -> Page:
    """The shapes of the SVG file at `path`. Raises InputError with all that is wrong in it."""
    return page_of(read_tree(path), str(path))


def page_of(root: Element, file: str) -> Page:
    """The shapes below the root of a drawing. Raises InputError like `read_page`."""
    reader = _PageReader(root, file)
    reader.read(root)
    if reader.problems:
        raise InputError(reader.problems)
    return reader.page


class _PageReader:
    def __init__(self, root: Element, file: str):
        from svgelements import Matrix

        try:
            self._rules: StyleRules = rules_of(root)
        except ValueError as error:
            do = "save the drawing as plain SVG"
            raise InputError([Problem(file, *root.at, str(error), do)]) from None
        self._by_id: Mapping[str, Element] = {
            each.attributes["id"]: each for each in root.walk() if "id" in each.attributes
        }
        self._matrix = Matrix
        self.problems: list[Problem] = []
        self._file, self._groups, self._count, self._characters = file, 0, 0, 0
        size, self._root_matrix = self._page(root)
        self.page = Page(file, size)

    def read(self, root: Element) -> None:
        """Reads all that is drawn below the root."""
        style = Style().below(root, self._rules)
        for child in root.children:
            self._element(child, style, self._root_matrix, 0, (), ((), ()))

    def _wrong(self, element: Element, what: str, do: str) -> None:
        self.problems.append(Problem(self._file, *element.at, what, do))

    def _leave(self, element: Element, why: str) -> None:
        labels = labels_of(element)
        self.page.left_out.append(
            LeftOut(element.at, element.tag, labels[0] if labels else "", why)
        )

    def _page(self, root: Element) -> tuple[tuple[float, float] | None, Matrix]:
        """The size of the page and the transform into it."""
        said = [length_px(root.attributes.get(key, "")) for key in ("width", "height")]
        box = re.split(r"[\s,]+", root.attributes.get("viewBox", "").strip())
        matrix = self._matrix(root.attributes.get("transform", ""))
        if box == [""]:
            width, height = said
            return ((width, height) if width and height else None), matrix
        try:
            x, y, width, height = (float(each) for each in box)
        except ValueError:
            self._wrong(root, "the viewBox is not four numbers", "correct it, or leave it out")
            return None, matrix
        if width > 0 and height > 0 and max(width, height) >= FARTHEST:
            what = f"the page of {width:.10g} x {height:.10g} is larger than can be read: {MOST}"
            self._wrong(root, what, "correct the viewBox, or make the drawing smaller")
            return None, matrix
        if not (width > 0 and height > 0):
            self._wrong(root, "the page has no width or height", "correct the viewBox")
            return None, matrix
        if not (abs(x) < FARTHEST and abs(y) < FARTHEST):
            self._wrong(root, "the page begins beyond any page", "correct the viewBox")
            return None, matrix
        matrix = matrix * self._matrix(f"translate({-x!r},{-y!r})")
        uneven = root.attributes.get("preserveAspectRatio", "").strip().startswith("none")
        if uneven and said[0] and said[1]:  # stretched to the page
            across, down = said[0] / width, said[1] / height
            matrix = matrix * self._matrix(f"scale({across!r},{down!r})")
            return (said[0], said[1]), matrix
        return (width, height), matrix

    def _element(
        self,
        element: Element,
        above: Style,
        matrix: Matrix,
        group: int,
        used: tuple[int, ...],
        around: Around,
    ) -> None:
        self._count += 1
        if self._count > MAX_ELEMENTS or len(used) > MAX_DEPTH:
            what = f"with all that is used again the drawing has more than {MAX_ELEMENTS} elements"
            do = "leave out what is not the house"
            raise InputError([Problem(self._file, *element.at, what, do)])
        if element.tag in _SILENT and not (used and element.tag == "symbol"):
            return
        if element.tag in _LEFT_OUT:
            self._leave(element, _LEFT_OUT[element.tag])
            return
        style = above.below(element, self._rules)
        if not style.visible and element.tag not in _GROUPS:
            return
        own = self._transform(element, style)
        matrix = own * matrix  # this element's first, then what stands above it
        for key in ("clip-path", "mask"):
            if element.attributes.get(key, "none") != "none":
                self._leave(element, f"its {key} is not cut out: it is drawn whole")
        if element.tag in _GROUPS:
            if element.tag == "svg" and "viewBox" in element.attributes:
                self._leave(element, "a drawing inside the drawing; put its shapes in a group")
                return
            self._groups += 1
            inside = self._groups
            for child in element.children:
                named = (around[0], labels_of(element) + around[1])
                self._element(child, style, matrix, inside, used, named)
        elif element.tag == "use":
            self._use(element, style, matrix, group, used, around)
        elif element.tag in _SHAPES:
            self._shape(element, style, matrix, group, around)
        elif element.tag == "text":
            self._text(element, matrix, group)
        elif "}" not in element.tag:
            self._leave(element, "this is not a shape")

    def _transform(self, element: Element, style: Style) -> Matrix:
        text = style.values.get("transform", "none")
        if text == "none":
            return self._matrix()
        if not _TRANSFORM.fullmatch(text):
            self._wrong(element, f"the transform '{text}' cannot be read", "correct it")
            return self._matrix()
        try:
            return self._about(element, style, self._matrix(text))
        except (ValueError, IndexError, TypeError):
            self._wrong(element, f"the transform '{text}' lacks a number", "correct it")
            return self._matrix()

    def _about(self, element: Element, style: Style, matrix: Matrix) -> Matrix:
        """A transform about its origin: a place of the page, or its upper left corner."""
        said = style.values.get("transform-origin", "0 0")
        places = [length_px(each) for each in said.split()[:2]]
        of_page = style.values.get("transform-box", "view-box") == "view-box"
        if len(places) != 2 or None in places or not of_page:
            why = f"its transform-origin '{said}' is not read: it is turned about the corner"
            self._leave(element, f"{why} of the page; write it as two lengths")
            return matrix
        x, y = places
        there, back = f"translate({x!r},{y!r})", f"translate({-(x or 0.0)!r},{-(y or 0.0)!r})"
        return self._matrix(back) * matrix * self._matrix(there)

    def _use(
        self,
        element: Element,
        style: Style,
        matrix: Matrix,
        group: int,
        used: tuple[int, ...],
        around: Around,
    ) -> None:
        named = element.attributes.get("href", "")
        if not named.startswith("#"):
            self._leave(element, f"'{named}' is not in this file, and no other is read")
            return
        target = self._by_id.get(named[1:])
        if target is None:
            self._leave(element, f"there is no '{named[1:]}' in this file")
            return
        if id(target) in used:
            self._wrong(element, f"'{named[1:]}' uses itself", "take one of them out")
            return
        x, y = (length_px(element.attributes.get(key, "0")) or 0.0 for key in ("x", "y"))
        moved = self._matrix(f"translate({x!r},{y!r})") * matrix
        called = (around[0] + labels_of(element), around[1])
        self._element(target, style, moved, group, (*used, id(target)), called)

    def _shape(
        self,
        element: Element,
        style: Style,
        matrix: Matrix,
        group: int,
        around: Around,
    ) -> None:
        path = self._path(element)
        if path is None:
            return
        fill, stroke = style.paint("fill"), style.paint("stroke")
        rgb, note = self._colour(element, fill)
        filled = fill.lower() != "none" and element.tag != "line"
        stroked = stroke.lower() != "none" and style.values["stroke-width"] not in ("0", "0px")
        if not filled and not stroked:
            return
        classes = element.attributes.get("class", "").split()
        path *= matrix
        path = path.reify()
        if not lies_on_a_page(path):
            self._wrong(element, "its transforms put this beyond any page", "look at their numbers")
            return
        self.page.shapes.append(
            Shape(
                element.at,
                element.tag,
                (*around[0], *labels_of(element), *around[1], *classes),
                path,
                rgb if filled else None,
                filled,
                stroked,
                style.values["fill-rule"],
                group,
                note if filled else "",
                style.values["data-depth"],
                (*around[0], *labels_of(element)),
            )
        )

    def _colour(self, element: Element, fill: str) -> tuple[Rgb | None, str]:
        """The colour of a fill, and what to say of it."""
        if fill.lower() == "none":
            return None, ""
        if not fill.startswith("url("):
            rgb = colour(fill)
            if rgb is None and fill.lower() != "transparent" and element.tag != "line":
                self._wrong(element, f"'{fill}' is not a colour", "write it like #8a5a3c")
            return rgb, ""
        rgb = gradient_colour(fill, self._by_id, self._rules)
        if rgb is not None:
            return rgb, "the mean of its gradient"
        fallback = colour(fill.partition(")")[2]) if fill.partition(")")[2].strip() else None
        return fallback, "its pattern has no colour of its own" if fallback is None else ""

    def _path(self, element: Element) -> Path | None:
        """The path of a shape before its transform; None where there is nothing to draw."""
        from svgelements import Path

        attributes = element.attributes
        self._characters += len(attributes.get("d", "")) + len(attributes.get("points", ""))
        if self._characters > MAX_CHARACTERS:
            what = f"the drawing has more than {MAX_CHARACTERS} characters of path data"
            do = "simplify its paths, or leave out what is not the house"
            raise InputError([Problem(self._file, *element.at, what, do)])
        try:
            path = MAKE[element.tag](element.attributes)
            on_page = lies_on_a_page(path or ())
        except OverflowError:
            on_page = False
        except (ValueError, IndexError, TypeError, ZeroDivisionError, AttributeError):
            key = {"path": "path data", "polygon": "points", "polyline": "points"}
            what = f"the {key.get(element.tag, 'numbers')} of this {element.tag} cannot be read"
            self._wrong(element, what, "correct it, or save the drawing again")
            return None
        if not on_page:
            self._wrong(element, f"this lies beyond any page: {MOST}", "look at its coordinates")
            return None
        return path if isinstance(path, Path) and len(path) > 1 else None

    def _text(self, element: Element, matrix: Matrix, group: int) -> None:
        parts = [element, *(each for each in element.walk() if each.tag == "tspan")]
        place = next((each for each in parts if "x" in each.attributes), element)
        x, y = (length_px(place.attributes.get(key, "0").split()[0]) or 0.0 for key in ("x", "y"))
        point = matrix.point_in_matrix_space((x, y))
        self.page.texts.append(
            Text(element.at, element.whole_text, (float(point.x), float(point.y)), group)
        )


def labels_of(element: Element) -> tuple[str, ...]:
    """What an element itself is called: its id, aria-label, the editor's label and its title."""
    titles = [each.whole_text for each in element.children if each.tag == "title"]
    said = [
        element.attributes.get("id", ""),
        element.attributes.get("aria-label", ""),
        element.attributes.get("label", ""),
        *titles,
    ]
    return tuple(each.strip() for each in said if each.strip())
