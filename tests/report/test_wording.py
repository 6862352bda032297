"""Every finding is data and has a sentence; its JSON carries both."""

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

from layouts import house_findings, house_from
from layouts.finding import Finding, Remedy
from sim.report.jsonable import jsonable
from sim.report.wording import WORDINGS, finding_json, sentence

ROOT = Path(__file__).parents[2]
#: Codes that are put together: their families, as the verdicts and the sun's gaps are called.
FAMILIES = {
    "data-": ("high", "low", "over", "under"),
    "flash-": ("general", "red", "long"),
    "season-": ("no-dusk", "midnight-sun", "polar-night", "no-daylight"),
}


@cache
def made():
    """(file, its tree, call) of every `Finding(…)` in the project."""
    found = []
    for folder in ("layouts", "effects", "sim"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            text = path.read_text("utf-8")
            if "Finding" not in text:
                continue
            tree = ast.parse(text)
            for node in ast.walk(tree):
                if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "Finding":
                    found.append((path.relative_to(ROOT), tree, node))
    return found


def codes(tree, call):
    """The codes that a call may give: its own, or those of a family or a name in its file."""
    code = call.args[1]
    if isinstance(code, ast.Constant):
        return [code.value]
    if isinstance(code, ast.JoinedStr):
        stem = code.values[0].value
        return [f"{stem}{end}" for end in FAMILIES[stem]]
    found = [
        codes(tree, ast.Call(call.func, [call.args[0], value], []))
        for name, value in assigned(tree)
        if name == code.id
    ]
    assert found, ast.unparse(call)
    return [each for some in found for each in some]


def assigned(tree):
    """(name, value) of every plain assignment, those of tuples taken apart."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Assign):
            target, value = node.targets[0], node.value
            pairs = (
                zip(target.elts, value.elts, strict=False)
                if isinstance(target, ast.Tuple) and isinstance(value, ast.Tuple)
                else [(target, value)]
            )
            yield from ((one.id, what) for one, what in pairs if isinstance(one, ast.Name))


def is_ready_made(call):
    return len(call.args) > 3 or any(each.arg == "text" for each in call.keywords)


def test_no_sentence_is_made_outside_the_reports():
    """A new finding's sentence goes to the table of its topic in `sim/report/wording/`."""
    said = [
        f"{path}:{call.lineno}"
        for path, _, call in made()
        if is_ready_made(call) and path.parts[:2] != ("sim", "report")
    ]
    assert said == []


def test_every_code_has_a_wording():
    used = set()
    for _, tree, call in made():
        if not is_ready_made(call):
            used.update(codes(tree, call))
    assert len(used) > 30
    assert used - set(WORDINGS) == set()
    assert set(WORDINGS) - used == set()  # no wording is left of a code that is gone


def test_a_code_without_a_wording_is_no_empty_line():
    with pytest.raises(KeyError):
        sentence(Finding("note", "no-such-code", "here"))


def test_the_json_of_a_finding():
    found = Finding(
        "warning",
        "fuse-load",
        "box → eave.start",
        value=4.0,
        limit=3.75,
        unit="A",
        remedies=(Remedy("larger-fuse", "box → eave.start", 7.5, "A"),),
        detail={"fuse_a": 5.0, "share": 0.75},
    )
    assert jsonable(finding_json(found)) == {
        "level": "warning",
        "code": "fuse-load",
        "where": "box → eave.start",
        "text": "the fuse of 5 A carries 4.0 A, 80% of its rating; above 75% it ages and may open: "
        "lower the brightness, add a feed, or use a larger fuse if the wire allows it",
        "value": 4.0,
        "limit": 3.75,
        "unit": "A",
        "remedies": [
            {"action": "larger-fuse", "target": "box → eave.start", "value": 7.5, "unit": "A"}
        ],
        "elements": ["box → eave.start"],
    }


def test_what_a_finding_carries_cannot_be_changed():
    given = {"pixel": 3}
    found = Finding("note", "colour-lost", "eave", detail=given)
    given["pixel"] = 4
    assert found.detail["pixel"] == 3
    with pytest.raises(TypeError):
        found.detail["pixel"] = 5
    assert hash(found) == hash(Finding("note", "colour-lost", "eave"))


@pytest.mark.parametrize(
    ("units", "said"),
    [
        ("m", "stands off 2.4 m from the wall"),
        ("cm", "stands off 240 cm from the wall"),
        # 2.4 m / 25.4 mm = 94.49 in: 7 ft 10 in, and 0.49 in are four eighths
        ("ft", "stands off 7 ft 10 1/2 in from the wall"),
        ("in", "stands off 94 1/2 in from the wall"),
    ],
)
def test_lengths_are_told_in_the_units_of_the_house(units, said):
    house = house_from(
        {
            "format": "evenfall-house/1",
            "name": "Far",
            "units": units,
            "drawing": {"size": ["6 m", "4 m"], "viewer": "8 m", "surfaces": []},
            "runs": [
                {
                    "name": "eave",
                    "pixels": "ws2812b-v5",
                    "path": [["1 m", "2 m"], ["2 m", "2 m"]],
                    "standoff": "2.4 m",
                }
            ],
        }
    )
    (far,) = [each for each in house_findings(house) if each.code == "standoff-far"]
    assert (far.value, far.unit) == (pytest.approx(2.4), "m")  # the data stay in metres
    assert said in sentence(far)


def test_a_small_backward_current_is_told_in_milliamperes():
    found = Finding("danger", "supply-backfed", "loft", value=0.0123, limit=0.0, unit="A")
    assert "pushes 12 mA into supply loft" in sentence(found)


def test_findings_are_told_without_loading_the_year():
    """Most verbs tell findings; holidays and sun would slow the start of every one of them."""
    code = "import sim.report.terminal, sys; print(*sys.modules)"
    loaded = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.split()
    assert not {"sim.season", "holidays", "astral", "jinja2", "yaml"} & set(loaded)
