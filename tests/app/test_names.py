"""Everything on the window has a name, a role and a place large enough; ways by keys and mouse.

Sizes are WCAG 2.2, 2.5.8: at least 24 by 24 CSS pixels, here pixels at 100 %.
"""

from __future__ import annotations

import typing
from collections.abc import Iterator
from dataclasses import replace
from itertools import combinations

import pygame
import pytest

from sim.app.state import actions as act
from sim.app.state import choosing_actions as choose
from sim.app.state import drawing_actions as draw
from sim.app.state import mending_record as mend
from sim.app.state import number_actions as number
from sim.app.state import ribbon_actions as rib
from sim.app.state import sighted_record as seen
from sim.app.state import touch_record as touch
from sim.app.state.access import MoreTools
from sim.app.state.choosing_actions import OpenPage
from sim.app.state.drawing_keys import DRAWING_BINDINGS
from sim.app.state.keys import BINDINGS
from sim.app.state.names import Named, Role, named
from sim.app.state.record import Message, State
from sim.app.state.sharing import question
from sim.app.state.titles import title
from sim.app.state.update import update
from sim.app.state.window_layout import layout
from sim.app.view.brush import Brush
from sim.app.view.screen import Screen

#: The sizes of windows and of type that everything must fit.
SIZES = [((960, 600), 1.0), ((1280, 720), 1.5), ((1920, 1080), 2.0)]


@pytest.fixture(autouse=True)
def no_screen(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    monkeypatch.setenv("SDL_VIDEODRIVER", "dummy")
    pygame.display.init()
    pygame.font.init()
    pygame.display.set_mode((64, 64))
    yield
    pygame.quit()


def drawn(state: State) -> Screen:
    """The window drawn twice, without a house: what slides has come to rest."""
    screen = Screen()
    for _ in range(2):
        screen.draw(pygame.Surface(state.size_px), state, None, {}, 60.0, 1.0, {}, 0.0)
    return screen


def at(state: State, size: tuple[int, int], scale: float) -> State:
    return replace(state, size_px=size, scale=scale)


def looks(state: State) -> dict[str, State]:
    """The window as it can stand, by what is open."""
    wide = replace(state, drawer=True, drawer_open=1.0)
    changed = update(update(wide, act.Set("brightness", 0.3)), act.Set("0.speed", 1.0))
    opened = replace(wide, feedback=replace(wide.feedback, folded=frozenset()))
    pages = {name: update(wide, OpenPage(name, 0))
             for name in ("schemes", "layers", "palettes", "effects")}  # fmt: skip
    return {
        "house": state, "drawer": wide, "changed": changed, "unfolded": opened,
        "question": replace(state, question=question()),
        "comparison": replace(state, compare=True),
        "high": replace(opened, access=replace(state.access, contrast=True)), **pages,
    }  # fmt: skip


def table(state: State) -> tuple[Named, ...]:
    return named(state, drawn(state).seen)


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_all_have_names_roles_and_targets(
    state: State, size: tuple[int, int], scale: float
) -> None:
    wrong = []
    for look, one in looks(at(state, size, scale)).items():
        for line in table(one):
            if not line.name.strip() or line.role not in typing.get_args(Role):
                wrong.append((look, line.id, "no name"))
            if line.place is not None and line.role in ("button", "combobox", "option", "link"):
                least = min(line.place.w, line.place.h) / scale
                if least < 23.9 and not line.id.startswith("tool"):
                    wrong.append((look, line.id, f"{least:.1f} px"))
    assert not wrong, wrong


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_no_two_targets_overlap(state: State, size: tuple[int, int], scale: float) -> None:
    wrong = []
    for look, one in looks(at(state, size, scale)).items():
        lines = [line for line in table(one) if line.place is not None and line.role in
                 ("button", "switch", "combobox", "link")]  # fmt: skip
        wrong += [(look, a.id, b.id) for a, b in combinations(lines, 2)
                  if a.place.meets(b.place) and not _within(look, a, b)]  # fmt: skip
    assert not wrong, wrong


def _within(look: str, a: Named, b: Named) -> bool:
    """Parts of pages lie on the row they belong to; what scrolls goes beneath what is pinned."""
    on_page = look in ("schemes", "layers", "palettes", "effects")
    pinned = {a.id, b.id} & {"write", "revert"}
    scrolled = any(one.id.startswith("tool") for one in (a, b)) or any(
        one.id.startswith("mark") for one in (a, b))  # fmt: skip
    return on_page or bool(pinned) or scrolled


@pytest.mark.parametrize(("size", "scale"), SIZES)
def test_what_is_written_lies_inside_the_window_and_nothing_on_top_of_it(
    state: State, size: tuple[int, int], scale: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of the row at the foot and the drawer, whose words share one ground."""
    plain, wrong = Brush.text, []
    for look in ("drawer", "unfolded", "changed"):
        one = looks(at(state, size, scale))[look]
        written: list[tuple[str, pygame.Rect]] = []

        def kept(self: Brush, text: str, *args: object, written=written, **more: object) -> object:  # type: ignore[no-untyped-def]
            place = plain(self, text, *args, **more)  # type: ignore[arg-type]
            clip = self.surface.get_clip()
            seen = pygame.Rect(place).clip(clip)
            if self.surface.get_size() == size and seen.h == place.h:
                written.append((text, pygame.Rect(place)))
            return place

        monkeypatch.setattr(Brush, "text", kept)
        screen = Screen()
        screen.draw(pygame.Surface(size), one, None, {}, 60.0, 1.0, {}, 0.0)
        whole = pygame.Rect(0, 0, *size)
        wrong += [(look, text) for text, place in written if not whole.contains(place)]
        drawer = pygame.Rect(layout(one).drawer)
        inside = [(text, place) for text, place in written if drawer.contains(place)]
        foot = [row.place for row in screen.rows if row.form == "foot"]
        top = drawer.bottom - (foot[0].h if foot else 0)
        inside = [(text, place) for text, place in inside if place.bottom <= top]
        wrong += [(look, a, b) for (a, pa), (b, pb) in combinations(inside, 2)
                  if pa.inflate(-2, -6).colliderect(pb.inflate(-2, -6))]  # fmt: skip
    assert not wrong, wrong


@pytest.mark.parametrize("size", [(960, 600), (640, 400), (420, 560)])
@pytest.mark.parametrize("scale", [1.0, 1.5, 2.0])
def test_every_button_of_the_row_is_in_one_of_its_parts(
    state: State, size: tuple[int, int], scale: float
) -> None:
    found, one = set(), at(state, size, scale)
    for _ in range(20):
        row = drawn(one).seen.tools
        found |= {tool.label for tool in row}
        assert all(tool.place.right <= size[0] for tool in row if len(row) > 2)
        one = update(one, MoreTools())
    assert found >= {"Play", "Volts", "Runs", "Wires", "Zones", "Compare", "Undo", "Redo",
                     "Schemes", "Layers", "Draw", "Share", "Full screen", "Keys",
                     "Settings"}  # fmt: skip


def test_the_title_speaks_of_what_has_the_keys(state: State) -> None:
    focused = replace(state, drawer=True, focus="brightness")
    assert title(focused).startswith("Brightness of the scheme: 80 %")
    typed = update(update(focused, number.BeginNumber("brightness")), number.TypeNumber("4"))
    assert title(typed).startswith("Brightness of the scheme, typed: 4")
    assert title(replace(state, question=question())).startswith("Share what is on show 1: Picture")
    page = update(state, OpenPage("layers", 0))
    pointed = update(page, choose.StepParts(down=1))
    assert title(pointed).startswith("Layers: layer 1: chase")


def test_what_is_calm_neither_slides_nor_waits(state: State) -> None:
    calm = update(replace(state, calm=True), act.ToggleDrawer())
    assert update(calm, act.Tick(0.001)).drawer_open == 1.0
    moving = update(update(state, act.ToggleDrawer()), act.Tick(0.001))
    assert moving.drawer_open < 1.0


def test_high_contrast_reaches_words_and_widgets(state: State) -> None:
    def codes(one: State) -> bytes:
        surface = pygame.Surface(one.size_px)
        screen = Screen()
        screen.draw(surface, one, None, {}, 60.0, 1.0, {}, 0.0)
        return pygame.image.tobytes(surface, "RGB")

    wide = replace(state, drawer=True, drawer_open=1.0, size_px=(960, 600))
    high = update(wide, act.Set("contrast", True))
    assert high.access.contrast
    assert codes(wide) != codes(high)
    assert b"\x10\x15\x20" not in codes(high)  # the usual ground of the drawer is nowhere


def test_keys_give_a_control_its_usual_value(state: State) -> None:
    focused = replace(state, drawer=True, focus="brightness")
    assert update(focused, number.UsualValue()).shown_brightness == 1.0


# --- every action by keys alone, and by the mouse alone ---

#: What the loop tells the state; nobody does these.
TOLD = {
    act.Tick, act.Loaded, act.Refused, act.Failed, act.FoundUnsaved, act.ValuesWritten,
    act.CeilingMeasured, act.Say, act.FeedsSought, act.FeedsProposed, act.NoFeeds, act.FeedsLost,
    act.FeedsWritten, act.SharedSoFar, act.Shared, act.NotShared, act.FoundDrawing,
    act.TakeUpDrawing, act.Resize, rib.MarksFound, rib.InstantFound, touch.ThingsThere,
    mend.HouseThere, seen.Diagnosed, draw.BoardOpened, draw.DraftFiled, draw.CloseBoard,
    draw.Choose,
}  # fmt: skip
#: Cells of the sheet of what is broken and of what was seen.
ON_SHEET = (
    mend.BreakIt, mend.MendIt, mend.SaveFaults, seen.PickTool, seen.TurnOnwards, seen.PickDuring,
    seen.PointVolts, seen.AddSeen, seen.DropSeen, seen.DropAllSeen, seen.TurnRepair, seen.SaveSeen,
)  # fmt: skip
#: By keys in another way than by a key of its own: (action → what does the same).
BY_KEYS = {
    act.Open: "Page down, or the page of schemes: arrows and Enter",
    act.Seek: "arrows, Home, End", act.Set: "arrows", act.MoveDivider: "[ and ]",
    act.Drag: "what is dragged has steps", act.Select: "Full stop and Comma",
    act.Scroll: "Tab brings what has the keys into sight",
    act.PutAside: "Esc", act.StopSharing: "Esc", act.HushSaved: "Esc",
    rib.HoldTime: "R and Shift R", rib.ShiftHeld: "Ctrl arrows", rib.LoopHeld: "R and Shift R",
    rib.PointAtTime: "Left, Right", rib.OpenMark: "M", touch.PointAt: "T",
    touch.OpenThing: "T, Enter",
    choose.PointAtPart: "arrows", choose.PressPart: "Enter", choose.ClosePage: "Esc",
    choose.TypeOnPage: "letters", choose.ScrollPage: "Page up and down", choose.StepParts: "arrows",
    number.BeginNumber: "Enter on a slider", number.TypeNumber: "letters",
    number.TakeNumber: "Enter", number.LeaveNumber: "Esc",
    draw.PointTo: "arrows", draw.PressAt: "Space", draw.LetGo: "Space", draw.TypeIn: "letters",
    draw.OpenField: "Page down, Enter", draw.SetField: "[ and ]",
    MoreTools: "what it brings is on keys", act.ScrollHelp: "Up, Down, Page up and down",
    **dict.fromkeys(ON_SHEET, "arrows and Enter on its sheet"),
    mend.BeginTyped: "Enter on its cell", mend.TypeOnSheet: "letters", mend.TakeTyped: "Enter",
    mend.LeaveTyped: "Esc", mend.CloseSheet: "Esc", mend.ScrollSheet: "Page up and down",
    mend.MoveOnSheet: "Up, Down", seen.HoldSeen: "Full stop and Comma choose, Enter marks",
    seen.LetGoSeen: "Full stop and Comma choose, Enter marks",
}  # fmt: skip
#: By the mouse: (action → where).
BY_MOUSE = {
    act.Answer: "buttons of the card", act.Open: "the page of schemes, the list in the drawer",
    act.PlayPause: "Play", act.Seek: "press in the ribbon", act.Step: "wheel over the ribbon",
    act.StepSeconds: "drag in the ribbon", act.Jump: "drag in the ribbon",
    act.Set: "controls of the drawer", act.Nudge: "controls of the drawer",
    act.Activate: "press", act.Focus: "press", act.Back: "crosses, Settings, Keys",
    act.ToggleOverlay: "Volts, Runs, Wires, Zones", act.ToggleDrawer: "Settings",
    act.ToggleHelp: "Keys", act.ToggleCompare: "Compare", act.MoveDivider: "drag the divider",
    act.NudgeDivider: "drag the divider", act.Drag: "drag", act.Select: "This pixel",
    act.StepPixel: "press on another pixel", act.StepRun: "press on another run",
    act.Expose: "Exposure in the drawer", act.Zoom: "Size of type in the drawer",
    act.Scroll: "wheel, scroll bar", act.Revert: "Back to the file", act.WriteValues: "Write",
    act.Screenshot: "Share, Window", act.FullScreen: "Full screen", act.Quit: "the window's cross",
    act.Undo: "Undo", act.Redo: "Redo", act.ProposeFeeds: "Feeds in the drawer",
    act.StopProposing: "Feeds in the drawer", act.AcceptFeeds: "the card of feeds",
    act.UndoFeeds: "Feeds in the drawer", act.WriteFeeds: "Feeds in the drawer",
    act.PutAside: "its cross", act.TellAgain: "its mark", act.RevertOne: "the mark of the value",
    act.ShowAllLayers: "its mark", act.AskSharing: "Share", act.ShareNow: "Share",
    act.StopSharing: "its mark", act.HushSaved: "its cross", act.OpenFolder: "its mark",
    rib.ZoomTime: "Ctrl wheel, or wheel over the axis", rib.PanTime: "drag the axis",
    rib.WholeTime: "double click", rib.HoldTime: "drag", rib.ShiftHeld: "drag the axis",
    rib.LoopHeld: "drag with the other button", rib.LoopFrom: "drag with the other button",
    rib.LoopUntil: "drag with the other button", rib.ClearLoop: "press the other button",
    rib.PointAtTime: "point", rib.OpenMark: "press a mark", rib.StepMark: "press a mark",
    touch.PointAt: "point", touch.OpenThing: "press", touch.StepTouch: "point",
    touch.LookCloser: "press again", touch.MoreOfCard: "More on the card",
    choose.OpenPage: "Schemes, Layers",
    choose.PointAtPart: "point", choose.PressPart: "press", choose.ClosePage: "its cross or arrow",
    choose.StepParts: "point", choose.ScrollPage: "wheel",
    number.BeginNumber: "press the value", number.TakeNumber: "press beside it",
    number.UsualValue: "double click", MoreTools: "More",
    draw.OpenBoard: "Draw", draw.UseTool: "its picture", draw.PointTo: "point",
    draw.PressAt: "press", draw.LetGo: "let go", draw.UsePoint: "press", draw.Done: "End it",
    draw.GiveUp: "Give up", draw.TakeBack: "Take back", draw.StepThing: "press a thing",
    draw.StepCorner: "press a corner", draw.Arrow: "drag", draw.GrabIt: "drag",
    draw.DeleteChosen: "Delete", draw.Repeat: "Repeat", draw.Mirror: "Mirror",
    draw.StepField: "press a row", draw.StepValue: "wheel over the row that has the keys",
    draw.OpenField: "press a row", draw.SetField: "press in its list",
    draw.ToggleCatch: "Caught by", draw.ToggleBoard: "To draw by", draw.Enlarge: "wheel",
    draw.MoveView: "drag with the middle button", draw.WriteDraft: "Write",
    draw.AddCorner: "Corner", draw.Raise: "Nearer, Farther", act.ScrollHelp: "wheel",
    **dict.fromkeys(ON_SHEET, "press on its sheet"), mend.MendAll: "press on its sheet",
    mend.OpenSheet: "the card's Break, the tool row", mend.CloseSheet: "its cross",
    mend.BeginTyped: "press", mend.TakeTyped: "press beside it", mend.LeaveTyped: "press beside it",
    mend.ScrollSheet: "wheel", mend.MoveOnSheet: "press", seen.HoldSeen: "press on the house",
    seen.LetGoSeen: "let go",
}  # fmt: skip
#: Letters need keys, or the keyboard on the screen that systems have.
LETTERS = {mend.TypeOnSheet, choose.TypeOnPage, number.TypeNumber, number.LeaveNumber, draw.TypeIn}


def every_action() -> set[type]:
    def flat(kind: object) -> Iterator[type]:
        inside = typing.get_args(kind)
        if inside:
            for one in inside:
                yield from flat(one)
        else:
            yield kind  # type: ignore[misc]

    return set(flat(act.Action))


def test_whatever_can_be_done_has_a_way_by_keys_and_one_by_mouse() -> None:
    done = every_action() - TOLD
    keyed = {type(one.action) for one in (*BINDINGS, *DRAWING_BINDINGS)}
    edits = {one for one in done if one.__name__ in ("AddLayer", "CopyLayer", "RemoveLayer",
                                                     "MoveLayer")}  # fmt: skip
    # the parts of the page of layers carry these; arrows and Enter go through all of its parts
    assert done - keyed - BY_KEYS.keys() - edits == set()
    assert done - BY_MOUSE.keys() - LETTERS - edits == set()
    for stale in (BY_KEYS.keys() | BY_MOUSE.keys() | TOLD) - every_action():
        raise AssertionError(f"{stale.__name__} is no action any more")


def test_arrows_reach_every_part_of_the_page_of_layers(state: State) -> None:
    page = update(at(state, (1280, 720), 1.0), OpenPage("layers", 0))
    todo, seen = [page], set()
    wanted = {line.id for line in table(page) if line.role in ("button", "option", "slider")
              and not line.id.startswith(("tool", "time", "mark"))}  # fmt: skip
    for _ in range(400):
        if not todo:
            break
        one = todo.pop()
        for step in (choose.StepParts(down=1), choose.StepParts(down=-1),
                     choose.StepParts(across=1), choose.StepParts(across=-1)):  # fmt: skip
            there = update(one, step)
            key = there.choosing.at if there.choosing else None
            if key is not None and key not in seen:
                seen.add(key)
                todo.append(there)
    assert wanted <= seen, wanted - seen


def test_a_message_has_no_say_over_targets(state: State) -> None:
    said = replace(state, message=Message("Written", 3.0))
    assert {line.id for line in table(said)} == {line.id for line in table(state)}
