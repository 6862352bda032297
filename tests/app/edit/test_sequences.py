"""Any sequence of commands: undone it is the file to the byte, redone the same end again.

After every command the text is a house without problems, or the command was refused and changed
nothing; entries that say the same as before are written as they were, to the byte.
"""

from __future__ import annotations

import os
import random
import re
from collections import Counter
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule

from layouts import EvenfallError, House, house_data
from layouts.files.document import Document, parse
from layouts.files.edits import CannotWrite, same
from layouts.known import Known
from layouts.load import house_of as house_as_read
from sim.app.edit import commands as c
from sim.app.edit.draft import Draft, NotDone, draft_from_text, house_of, made

HERE = Path(__file__).parent
METRIC, IMPERIAL, MEASURED = (
    (HERE / f"{name}.yaml").read_text("utf-8") for name in ("metric", "imperial", "measured")
)
TEXTS = {
    "metric": METRIC,
    "imperial": IMPERIAL,
    "measured": MEASURED,
    "windows lines": METRIC.replace("\n", "\r\n"),
    "no last line break": IMPERIAL.rstrip("\n"),
}
SORTS: tuple[c.Sort, ...] = (
    "run", "surface", "place", "route", "supply", "wire", "output", "zone",
)  # fmt: skip
LISTS = {
    "runs": ("runs",), "surfaces": ("drawing", "surfaces"), "supplies": ("supplies",),
    "wires": ("wires",), "outputs": ("outputs",), "places": ("places",), "routes": ("routes",),
}  # fmt: skip
COMMENT = re.compile(r"^\s*#")


parsed = lru_cache(maxsize=8)(parse)  # a text is the end of one command and the start of the next


class Chance:
    """Commands at random on a house: mostly sensible ones, some that must be refused."""

    def __init__(self, random_: random.Random, house: House):
        self.r, self.house = random_, house

    def names(self, sort: c.Sort) -> list[Any]:
        house = self.house
        own = (
            [name for name in house.zones if name not in ("all", *self.names("run"))]
            if sort == "zone"
            else []
        )
        return {
            "run": lambda: [run.name for run in house.runs],
            "surface": lambda: [each.name for each in house.drawing.surfaces],
            "place": lambda: [each.name for each in house.places],
            "route": lambda: [each.name for each in house.routes],
            "supply": lambda: [each.name for each in house.supplies],
            "wire": lambda: list(range(len(house.wires))),
            "output": lambda: [each.name for each in house.outputs],
            "zone": lambda: own,
        }[sort]()

    def item(self, *sorts: c.Sort) -> c.Item:
        there = [sort for sort in sorts or SORTS if self.names(sort)]
        sort = self.r.choice(there) if there else "run"
        names = self.names(sort)
        return c.Item(sort, self.r.choice(names) if names else "nobody")

    def items(self, *sorts: c.Sort) -> tuple[c.Item, ...]:
        return tuple(self.item(*sorts) for _ in range(self.r.randint(1, 3)))

    def point(self) -> c.PointM:
        return self.r.uniform(0, 12), self.r.uniform(0, 7)

    def points(self, most: int) -> tuple[c.PointM, ...]:
        return tuple(self.point() for _ in range(self.r.randint(2, most)))

    def name(self) -> str:
        return self.r.choice(["new", "gable 2", "eave", "joint", "attic", "a.b", "all", "x-1", "é"])

    def end(self) -> str:
        run = self.item("run").name
        count = self.house.run(str(run)).count if run != "nobody" else 9
        return self.r.choice(
            [str(self.item("supply").name), "joint", f"{run}.start", f"{run}.end",
             f"{run}[{self.r.randint(0, count + 2)}]", f"{run}@{self.r.randint(0, 8)} m"]
        )  # fmt: skip

    def command(self, deep: bool = True) -> c.Command:
        r = self.r
        kinds = ["ws2815", "ws2812b-v5", "nothing"]
        made_by = [
            lambda: c.AddRun(self.name(), self.points(4), r.choice(kinds), aim=r.choice(["down", 20.0, None])),  # noqa: E501
            lambda: c.AddSurface(self.name(), self.points(5), r.choice(["stone", "lava"]), over=r.choice([None, "wall"])),  # noqa: E501
            lambda: c.AddPlace(self.name(), self.point(), r.random() < 0.5),
            lambda: c.AddRoute(self.name(), self.points(3)),
            lambda: c.AddSupply(self.name(), 12, 10, r.choice([None, "attic", self.point()])),
            lambda: c.AddWire(self.end(), self.end(), "14 AWG", r.uniform(0.2, 5), 5.0),
            lambda: c.AddOutput(self.name(), (str(self.item("run").name),), r.randint(40, 90)),
            lambda: c.AddZone(self.name(), (str(self.item("run").name), f"{self.item('run').name}[0:{r.randint(1, 700)}]")),  # noqa: E501
            lambda: c.AddCut(str(self.item("run").name), r.randint(0, 500)),
            lambda: c.RemoveCut(str(self.item("run").name), r.choice([200, 10])),
            lambda: c.MoveCut(str(self.item("run").name), 200, r.randint(1, 300)),
            lambda: c.MovePoint(self.item("run", "route", "surface"), r.randint(0, 3), self.point()),  # noqa: E501
            lambda: c.MovePoint(self.item("run"), r.randint(0, 1), self.point()),
            lambda: c.InsertPoint(self.item("run", "route", "surface"), r.randint(0, 4), self.point()),  # noqa: E501
            lambda: c.RemovePoint(self.item("run", "surface"), r.randint(0, 3)),
            lambda: c.ShiftBy(self.items(), r.uniform(-2, 2), r.uniform(-1, 1)),
            lambda: c.ShiftBy(self.items("run", "surface", "place", "route"), r.uniform(-2, 2), 0),
            lambda: c.MirrorAbout(self.items("run", "surface", "place"), 5.0, r.random() < 0.5),
            lambda: c.RepeatBy(self.items("run", "surface"), r.randint(1, 3), r.uniform(0.5, 3)),
            lambda: c.Rename(self.item(), self.name()),
            lambda: c.Delete(self.items(), along=r.random() < 0.6),
            lambda: c.SetKey(self.item("run"), *r.choice([("aim", "wall"), ("aim", None), ("standoff", r.uniform(0.01, 0.4)), ("profile", "channel-frosted"), ("pixels", "ws2812b-v5"), ("spare_first", r.randint(0, 60)), ("count", r.choice([None, 10]))])),  # noqa: E501
            lambda: c.SetKey(self.item("surface"), *r.choice([("depth", r.uniform(-1, 1)), ("material", "slate"), ("depth", None)])),  # noqa: E501
            lambda: c.SetKey(self.item("wire"), *r.choice([("length", r.uniform(0, 9)), ("fuse", None), ("wire", "12 AWG"), ("to", self.end()), ("from", self.end())])),  # noqa: E501
            lambda: c.SetKey(self.item("supply", "output", "place"), "at", r.choice(["attic", self.point(), None])),  # noqa: E501
            lambda: c.SetKey(self.item("output"), "chain", tuple(str(each.name) for each in self.items("run"))),  # noqa: E501
            lambda: c.Restack(str(self.item("surface").name), r.randint(-3, 3)),
        ]  # fmt: skip
        if deep and r.random() < 0.1:
            both = (self.command(False), self.command(False))
            return c.Several(both, ", ".join(each.label for each in both))
        return r.choice(made_by)()


def entries_as_written(document: Document, text: str) -> Counter[tuple[str, str, str]]:
    """Every entry of every list, and every zone: what it says and how it is written."""
    found: Counter[tuple[str, str, str]] = Counter()
    for section, path in LISTS.items():
        node = document.node(path)
        for child in (node.children or []) if node is not None else []:
            found[section, repr(child.value), text[slice(*child.span)]] += 1
    zones = document.node(("zones",))
    for name, child in (zones.children or {}).items() if zones is not None else ():
        found["zones", f"{name}: {child.value!r}", text[slice(*child.span)]] += 1
    return found


def check_untouched(before: str, after: str, moved: bool) -> None:
    """Entries that say what they said are written as they were, and lines of remarks stay."""
    old_document, new_document = parsed(before, "house.yaml"), parsed(after, "house.yaml")
    old, new = entries_as_written(old_document, before), entries_as_written(new_document, after)
    said_before, said_after = Counter[tuple[str, str]](), Counter[tuple[str, str]]()
    for (section, said, _), number in old.items():
        said_before[section, said] += number
    for (section, said, _), number in new.items():
        said_after[section, said] += number
    rewritten = old - new
    for (section, said, written), number in rewritten.items():
        if "*" in written and moved:
            continue  # an alias before what it stands for has to be written out
        gone = said_before[section, said] - said_after[section, said]
        assert number <= max(gone, 0), f"written anew though nothing changed: {written}"
    for line in {line for line in before.splitlines() if COMMENT.match(line)}:
        assert line in after.splitlines(), f"a remark is lost: {line}"
    assert ("\r\n" in before) == ("\r\n" in after)
    if "\r\n" in before:
        assert after.count("\r\n") == after.count("\n")


def check_done(before: Draft, command: c.Command, after: Draft, house_before: House) -> House:
    document = parsed(after.text, after.file)
    assert document.problems == ()
    assert same(document.data, after.data)
    whole = house_as_read(document, Known())
    quick = house_of(after, house_before)
    assert house_data(quick) == house_data(whole)
    assert list(quick.zones) == list(whole.zones)
    assert (quick.pixels.xy_m == whole.pixels.xy_m).all()
    check_untouched(before.text, after.text, "bring surface" in command.label)
    return quick


def attempted(draft: Draft, command: c.Command) -> Draft:
    """The draft with the command done, or as it is where it was refused in words."""
    text = draft.text
    try:
        after = made(draft, command)
    except (NotDone, CannotWrite):
        after = draft
    assert draft.text == text
    return after


#: Parts of 25 sequences of four commands each. In 8 of them each of the 27 sorts of commands is
#: tried some 29 times, on every text. `HYPOTHESIS_PROFILE=other` goes through 20.
PARTS = 20 if os.environ.get("HYPOTHESIS_PROFILE") == "other" else 8


@pytest.mark.parametrize("part", range(PARTS))
def test_hundreds_of_sequences(part: int) -> None:
    """Seeded, so that what fails once fails again."""
    done = refused = 0
    for seed in range(part * 25, part * 25 + 25):
        random_ = random.Random(seed)
        text = TEXTS[random_.choice(sorted(TEXTS))]
        drafts, commands = [draft_from_text(text, "house.yaml")], []
        house = house_of(drafts[0])
        for _ in range(4):
            command = Chance(random_, house).command()
            after = attempted(drafts[-1], command)
            if after is drafts[-1]:
                refused += 1
                continue
            house = check_done(drafts[-1], command, after, house)
            drafts.append(after)
            commands.append(command)
            done += 1
        assert drafts[0].text == text  # undone
        again = draft_from_text(text, "house.yaml")
        for command, draft in zip(commands, drafts[1:], strict=True):  # redone
            again = made(again, command)
            assert again.text == draft.text
    assert done > 25
    assert refused > 5


class Drawing(RuleBasedStateMachine):
    """Somebody who draws, goes back, goes on, and draws again from there."""

    @initialize(which=st.sampled_from(sorted(TEXTS)))
    def open(self, which: str) -> None:
        self.steps = [draft_from_text(TEXTS[which], "house.yaml")]
        self.texts = [TEXTS[which]]
        self.now = 0
        self.house = house_of(self.steps[0])

    @rule(random_=st.randoms(use_true_random=False))
    def command(self, random_: random.Random) -> None:
        draft = self.steps[self.now]
        command = Chance(random_, self.house).command()
        after = attempted(draft, command)
        if after is not draft:
            self.house = check_done(draft, command, after, self.house)
            self.steps[self.now + 1 :] = [after]
            self.texts[self.now + 1 :] = [after.text]
            self.now += 1

    @rule()
    def undo(self) -> None:
        self.now = max(self.now - 1, 0)

    @rule()
    def redo(self) -> None:
        self.now = min(self.now + 1, len(self.steps) - 1)

    @rule()
    def undo_all(self) -> None:
        self.now = 0

    @invariant()
    def as_it_was(self) -> None:
        if hasattr(self, "steps"):
            assert self.steps[self.now].text == self.texts[self.now]
            found = house_of(self.steps[self.now], self.house)  # from any other step of all
            assert house_data(found) == house_data(house_of(self.steps[self.now]))
            self.house = found


TestDrawing = Drawing.TestCase
TestDrawing.settings = settings(max_examples=15, stateful_step_count=12, deadline=None)


def test_a_refused_command_of_several_changes_nothing() -> None:
    draft = draft_from_text(TEXTS["metric"], "house.yaml")
    both = c.Several(
        (c.Rename(c.Item("run", "eave"), "gutter"), c.Rename(c.Item("run", "eave"), "x")), "twice"
    )
    with pytest.raises(EvenfallError, match="there is no run 'eave'"):
        made(draft, both)
    assert draft.text == TEXTS["metric"]
