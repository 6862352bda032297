"""How an element is painted: the few properties that say whether something is a wall or a line.

Attributes, `style` and simple rules of a `<style>` (by tag, class or id) as in CSS: the last of
the most particular wins. StyleRules that select in other ways are not read.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from layouts.svg.tree import Element

#: What a child takes over from its parent, and what it is where nobody says.
INHERITED = {
    "fill": "black",
    "stroke": "none",
    "stroke-width": "1",
    "fill-rule": "nonzero",
    "visibility": "visible",
    "color": "black",
    "data-depth": "",
}
_OWN = ("display", "opacity", "fill-opacity", "stroke-opacity", "transform",
        "transform-origin", "transform-box")  # fmt: skip

#: Every element is held against every rule.
MAX_RULES = 500

_COMMENT = re.compile(r"/\*.*?\*/", re.DOTALL)
_RULE = re.compile(r"([^{}]+)\{([^{}]*)\}")
_SIMPLE = re.compile(r"(?P<tag>\*|[A-Za-z]+)?(?P<more>(?:[.#][\w-]+)*)")

_FUNCTION = re.compile(r"rgba?\(([^()]*)\)")

Rgb = tuple[int, int, int]


@dataclass(frozen=True)
class StyleRules:
    """The rules of all `<style>` elements: for a tag, class or id what is declared."""

    rules: tuple[tuple[int, str, frozenset[str], dict[str, str]], ...] = ()

    def of(self, element: Element) -> dict[str, str]:
        """What the rules that select `element` declare."""
        marks = {f".{name}" for name in element.attributes.get("class", "").split()}
        if "id" in element.attributes:
            marks.add(f"#{element.attributes['id']}")
        found: dict[str, str] = {}
        for _, tag, more, declared in self.rules:
            if tag in ("", "*", element.tag) and more <= marks:
                found |= declared
        return found


@dataclass(frozen=True)
class Style:
    """The properties that hold for an element."""

    values: Mapping[str, str] = field(default_factory=lambda: dict(INHERITED))
    seen: bool = True  # neither hidden nor without any opacity, nor in what is

    def below(self, element: Element, rules: StyleRules) -> Style:
        """The style of `element`, whose parent has this one."""
        own = {key: element.attributes[key] for key in (*INHERITED, *_OWN)
               if key in element.attributes}  # fmt: skip
        own |= rules.of(element)
        own |= declarations(element.attributes.get("style", ""))
        values = {key: value for key, value in self.values.items() if key in INHERITED}
        values |= {key: value.strip() for key, value in own.items() if value != "inherit"}
        gone = values.get("display") == "none" or _share(values.get("opacity")) == 0
        return replace(self, values=values, seen=self.seen and not gone)

    @property
    def visible(self) -> bool:
        return self.seen and self.values["visibility"] == "visible"

    def paint(self, key: str) -> str:
        """What `fill` or `stroke` says; "none" where nothing of it is seen."""
        if _share(self.values.get(f"{key}-opacity")) == 0:
            return "none"
        said = self.values[key]
        return self.values["color"] if said.lower() == "currentcolor" else said


def declarations(text: str) -> dict[str, str]:
    """`fill: red; stroke: none` as a mapping."""
    pairs = (each.partition(":") for each in text.split(";"))
    return {
        key.strip(): value.replace("!important", "").strip() for key, colon, value in pairs if colon
    }


def rules_of(root: Element) -> StyleRules:
    """The rules in the `<style>` elements of a drawing that select by tag, class or id.

    Raises ValueError for more than MAX_RULES.
    """
    found: list[tuple[int, str, frozenset[str], dict[str, str]]] = []
    for element in root.walk():
        if element.tag != "style":
            continue
        for selectors, body in _RULE.findall(_COMMENT.sub("", element.text)):
            declared = declarations(body)
            for selector in selectors.split(","):
                simple = _SIMPLE.fullmatch(selector.strip())
                if simple is None or not selector.strip():
                    continue
                more = frozenset(re.findall(r"[.#][\w-]+", simple["more"]))
                weight = sum(100 if mark[0] == "#" else 10 for mark in more)
                weight += simple["tag"] not in (None, "*")
                if len(found) == MAX_RULES:
                    raise ValueError(f"the drawing has more than {MAX_RULES} rules of style")
                found.append((weight, simple["tag"] or "", more, declared))
    return StyleRules(tuple(sorted(found, key=lambda rule: rule[0])))


def colour(text: str) -> Rgb | None:
    """The three codes of a colour as SVG writes it; None for none, and for what is no colour."""
    from PIL import ImageColor

    said = text.strip().lower()
    if found := _FUNCTION.fullmatch(said):
        parts = [each for each in re.split(r"[\s,/]+", found[1].strip()) if each]
        if len(parts) not in (3, 4) or (len(parts) == 4 and _share(parts[3]) == 0):
            return None
        codes = [_code(each) for each in parts[:3]]
        return None if None in codes else (codes[0] or 0, codes[1] or 0, codes[2] or 0)
    try:
        red, green, blue, *alpha = ImageColor.getrgb(said)
    except ValueError:
        return None
    return None if alpha == [0] else (red, green, blue)


def _code(text: str) -> int | None:
    try:
        number = float(text.rstrip("%")) * (2.55 if text.endswith("%") else 1)
        return min(max(round(number), 0), 255)
    except (ValueError, OverflowError):
        return None


def gradient_colour(reference: str, by_id: Mapping[str, Element], rules: StyleRules) -> Rgb | None:
    """The mean of the stops of the gradient that `url(#…)` names; None where it is none."""
    named = re.match(r"url\(\s*['\"]?#([^)'\"]+)['\"]?\s*\)", reference)
    element = by_id.get(named[1]) if named else None
    for _ in range(10):  # one gradient may take its stops from another
        if element is None or not element.tag.endswith("Gradient"):
            return None
        stops = [each for each in element.children if each.tag == "stop"]
        if stops:
            break
        element = by_id.get(element.attributes.get("href", "").removeprefix("#"))
    else:
        return None
    said = [
        {**each.attributes, **rules.of(each), **declarations(each.attributes.get("style", ""))}
        for each in stops
    ]
    colours = [made for each in said if (made := colour(each.get("stop-color", "black")))]
    if not colours:
        return None
    red, green, blue = (round(sum(each[i] for each in colours) / len(colours)) for i in range(3))
    return red, green, blue


def _share(text: str | None) -> float:
    if text is None:
        return 1.0
    try:
        return float(text.rstrip("%")) / (100 if text.endswith("%") else 1)
    except ValueError:
        return 1.0
