"""The drawing board as pure functions: what presses, keys and typed words do to the draft."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import pytest

from layouts import house_from
from sim.app.edit.commands import Item
from sim.app.edit.draft import draft_of, house_of
from sim.app.state import drawing_actions as draw
from sim.app.state.actions import Action
from sim.app.state.drawing import CATCHES, TOOLS, Board, Pick
from sim.app.state.drawing_keys import DRAWING_BINDINGS, drawing_action
from sim.app.state.drawing_layout import panel_parts, wired
from sim.app.state.keys import Press
from sim.app.state.record import State
from sim.app.state.step_actions import Redo, Undo
from sim.app.state.update import update
from sim.app.state.window_layout import layout

REACH = 0.05


@pytest.fixture
def board_state(house_file: Path, state: State) -> State:
    draft = draft_of(house_file)
    return update(state, draw.BoardOpened(draft, house_of(draft)))


def board_of(state: State) -> Board:
    assert state.board is not None
    return state.board


def after(state: State, *actions: Action) -> State:
    for action in actions:
        state = update(state, action)
    return state


def press(*at: float, **more: bool) -> draw.PressAt:
    return draw.PressAt((at[0], at[1]), REACH, **more)


def point(*at: float) -> draw.PointTo:
    return draw.PointTo((at[0], at[1]), REACH)


def typed(text: str) -> list[Action]:
    return [draw.TypeIn(one) for one in text]


def free(state: State) -> State:
    """Caught by nothing: places are where the pointer is."""
    return replace(state, board=replace(board_of(state), caught_by=frozenset()))


def test_a_run_by_clicks_is_one_step_and_undone_by_one(board_state: State) -> None:
    made = after(free(board_state), draw.UseTool("run"), press(1.5, 0.5), press(3.0, 0.5),
                 press(3.0, 1.5), draw.Done())  # fmt: skip
    run = board_of(made).house.run("run")
    assert run.path_m.tolist() == [[1.5, 0.5], [3.0, 0.5], [3.0, 1.5]]
    assert board_of(made).pick == Pick(Item("run", "run"))
    assert len(made.history.done) == 1
    undone = after(made, Undo())
    assert [one.name for one in board_of(undone).house.runs] == ["eave", "door"]
    again = after(undone, Redo())
    assert board_of(again).draft.text == board_of(made).draft.text


def test_backspace_and_escape(board_state: State) -> None:
    line = after(free(board_state), draw.UseTool("run"), press(1.5, 0.5), press(3.0, 0.5))
    assert board_of(after(line, draw.TakeBack())).line == ((1.5, 0.5),)
    assert board_of(after(line, draw.GiveUp())).line == ()
    few = after(line, draw.TakeBack(), draw.Done())
    assert "two corners" in board_of(few).fault
    assert few.draft is None


def test_a_typed_length_and_a_pitch_hold(board_state: State) -> None:
    begun = after(free(board_state), draw.UseTool("run"), press(1.0, 1.0), point(2.0, 1.0))
    long = after(begun, *typed("2.5 m"), draw.Done())
    assert board_of(long).line[-1] == pytest.approx((3.5, 1.0))
    # 6/12 means a rise of 6 for a run of 12: atan(1/2) = 26.57°
    steep = after(begun, point(2.0, 1.4), *typed("6/12"), draw.Done())
    (ax, ay), (bx, by) = board_of(steep).line
    assert math.degrees(math.atan2(by - ay, bx - ax)) == pytest.approx(26.565, abs=0.01)
    both = after(begun, *typed("1 m, 30°"), draw.Done())
    assert math.dist(*board_of(both).line) == pytest.approx(1.0, abs=0.001)
    # what was typed holds against the pointer
    held = after(begun, *typed("2.5 m"), point(1.0, 3.0))
    assert board_of(held).cross_m == pytest.approx((1.0, 3.5))


def test_a_crossing_outline_is_refused_where_it_crosses(board_state: State) -> None:
    line = after(free(board_state), draw.UseTool("surface"), press(1, 1), press(3, 1), press(3, 2))
    crossed = after(line, press(2, 0.5))
    # the side from (3, 2) to (2, 0.5) meets y = 1 at x = 3 − 1 · (1 / 1.5)
    assert board_of(crossed).fault_m == pytest.approx((3 - 1 / 1.5, 1.0))
    assert board_of(crossed).line == board_of(line).line
    assert "cross itself" in board_of(crossed).fault
    closed = after(line, press(1, 2), draw.Done())
    assert board_of(closed).house.drawing.surfaces[-1].name == "surface"


def test_an_outline_that_would_cross_when_closed_is_refused(board_state: State) -> None:
    made = after(free(board_state), draw.UseTool("surface"), press(1, 1), press(3, 1), press(3, 2),
                  press(4, 1.5), draw.Done())  # fmt: skip
    # from (4, 1.5) back to (1, 1) the side at x = 3 is met at y = 1 + 0.5 · 2 / 3
    assert board_of(made).fault_m == pytest.approx((3.0, 1 + 1 / 3))
    assert made.draft is None


def test_a_dragged_run_is_put_down_once(board_state: State) -> None:
    down = after(free(board_state), press(3.0, 2.35), point(3.2, 2.0), point(3.4, 1.9))
    assert board_of(down).grab is not None
    assert down.draft is None
    dropped = after(down, draw.LetGo())
    path = board_of(dropped).house.run("eave").path_m
    assert path.ravel().tolist() == pytest.approx([1.4, 1.9, 5.4, 1.9])
    assert len(dropped.history.done) == 1


def test_a_press_that_shakes_is_no_drag(board_state: State) -> None:
    shaken = after(free(board_state), press(3.0, 2.35), point(3.005, 2.35), draw.LetGo())
    assert shaken.draft is None
    assert board_of(shaken).pick == Pick(Item("run", "eave"))


def test_a_corner_is_taken_alone(board_state: State) -> None:
    moved = after(free(board_state), press(3.0, 2.35), draw.LetGo(), press(5.0, 2.35),
                  point(5.5, 2.6), draw.LetGo())  # fmt: skip
    assert board_of(moved).house.run("eave").path_m.tolist() == [[1.0, 2.35], [5.5, 2.6]]


def test_a_feed_goes_along_its_run(board_state: State) -> None:
    chosen = after(free(board_state), draw.Choose(Pick(Item("wire", 0))))
    moved = after(chosen, press(1.0, 2.35), point(2.0, 2.3), point(3.0, 2.3), draw.LetGo())
    # 40 pixels on 4 m: pixel 20 lies from 2.0 m to 2.1 m, and so from x = 3.0 on
    assert board_of(moved).house.wires[0].end.text in ("eave[19]", "eave[20]")


def test_nudges_in_one_go_are_one_step(board_state: State) -> None:
    chosen = after(board_state, draw.Choose(Pick(Item("run", "eave"))))
    nudged = after(chosen, draw.Arrow(0, 1), draw.Arrow(0, 1), draw.Arrow(10, 0))
    assert board_of(nudged).house.run("eave").path_m[0].tolist() == pytest.approx([1.1, 2.37])
    assert len(nudged.history.done) == 1


def test_an_inch_is_the_step_of_an_imperial_house(board_state: State, tmp_path: Path) -> None:
    text = board_of(board_state).draft.text.replace("units: m", "units: ft")
    file = tmp_path / "ft.yaml"
    file.write_text(text)
    draft = draft_of(file)
    chosen = after(State("x"), draw.BoardOpened(draft, house_of(draft)),
                   draw.Choose(Pick(Item("run", "eave"))), draw.Arrow(1, 0))  # fmt: skip
    before = house_of(draft).run("eave").path_m[0]
    moved = board_of(chosen).house.run("eave").path_m[0] - before
    # an inch is 25.4 mm by definition; feet with five digits keep it to some micrometres
    assert moved.tolist() == pytest.approx([0.0254, 0.0], abs=1e-5)


def test_feeds_need_a_supply(tmp_path: Path, house_file: Path) -> None:
    text = house_file.read_text()
    file = tmp_path / "bare.yaml"
    file.write_text(text[: text.index("supplies:")])
    draft = draft_of(file)
    bare = after(State("x"), draw.BoardOpened(draft, house_of(draft)), draw.UseTool("feed"),
                 press(3.0, 2.35))  # fmt: skip
    assert "supply first" in board_of(bare).fault
    fed = after(free(bare), draw.UseTool("supply"), press(3.0, 1.0), draw.UseTool("feed"),
                press(3.0, 2.35))  # fmt: skip
    wire = board_of(fed).house.wires[0]
    assert wire.start.text == "supply"
    assert wire.fuse_a is not None
    # straight up 1.35 m and half a metre more
    assert wire.length_m == pytest.approx(1.35 + 0.5, abs=0.06)


def test_cuts_zones_ports_and_places(board_state: State) -> None:
    state = free(board_state)
    cut = after(state, draw.UseTool("cut"), press(3.0, 2.35))
    assert board_of(cut).house.run("eave").cuts == (20,)
    assert board_of(after(cut, draw.DeleteChosen())).house.run("eave").cuts == ()
    zone = after(state, draw.UseTool("zone"), press(3.0, 2.35), press(2.0, 1.0), draw.Done())
    assert board_of(zone).house.zones["zone"].parts == ("eave", "door")
    place = after(state, draw.UseTool("place"), press(4.0, 1.0))
    assert board_of(place).house.places[0].xy_m == (4.0, 1.0)
    on_place = after(free(place), draw.UseTool("supply"), press(4.1, 1.0))
    assert board_of(on_place).house.supplies[-1].at == "place"


def test_what_hangs_on_a_thing_is_asked_for(board_state: State) -> None:
    chosen = after(board_state, draw.Choose(Pick(Item("run", "eave"))))
    alone = after(chosen, draw.DeleteChosen())
    assert "Shift Delete" in board_of(alone).fault
    gone = after(chosen, draw.DeleteChosen(along=True))
    assert [run.name for run in board_of(gone).house.runs] == ["door"]


def test_mirror_repeat_and_a_typed_distance(board_state: State) -> None:
    chosen = after(board_state, draw.Choose(Pick(Item("run", "door"))))
    copied = after(chosen, *typed("1.5 m"), draw.Repeat())
    names = [run.name for run in board_of(copied).house.runs]
    assert len(names) == 3
    assert board_of(copied).house.run(names[-1]).path_m[0].tolist() == [3.5, 0.1]
    mirrored = after(chosen, draw.Mirror())
    # the wall goes from 1 m to 5 m and the roof from 0.8 m to 5.2 m: the middle is at 3 m
    assert board_of(mirrored).house.runs[-1].path_m[0].tolist() == pytest.approx([4.0, 0.1])


def test_rows_of_the_panel_by_keys(board_state: State) -> None:
    chosen = after(board_state, draw.Choose(Pick(Item("run", "eave"))))
    named = after(chosen, draw.StepField(1), *typed("gutter"), draw.Done())
    assert board_of(named).house.runs[0].name == "gutter"
    assert board_of(named).pick == Pick(Item("run", "gutter"))
    aim = after(chosen, draw.OpenField("aim"), draw.SetField("aim", "wall"))
    assert board_of(aim).house.run("eave").aim == "wall"
    far = after(chosen, draw.OpenField("standoff"), *typed("45 mm"), draw.Done())
    assert board_of(far).house.run("eave").standoff_m == pytest.approx(0.045)
    kind = after(chosen, draw.OpenField("pixels"), draw.StepValue(1))
    assert board_of(kind).house.run("eave").kind.name == "ws2812b-v5"


def test_the_cross_is_caught_and_can_be_let_free(board_state: State) -> None:
    near = after(board_state, draw.UseTool("run"), point(1.02, 2.37))
    assert board_of(near).cross_m == (1.0, 2.35)
    assert "start of eave" in (board_of(near).catch.why if board_of(near).catch else "")
    let = after(near, draw.ToggleCatch("ends"), draw.ToggleCatch(), point(1.02, 2.37))
    assert board_of(let).caught_by == frozenset()
    assert board_of(let).cross_m == (1.02, 2.37)


def test_digits_are_typed_and_letters_are_tools(board_state: State) -> None:
    assert drawing_action(board_state, Press("r"), "r") == draw.UseTool("run")
    begun = after(free(board_state), draw.UseTool("run"), press(1, 1))
    assert drawing_action(begun, Press("2"), "2") == draw.TypeIn("2")
    assert drawing_action(after(begun, draw.TypeIn("2")), Press("m"), "m") == draw.TypeIn("m")
    assert drawing_action(begun, Press("m"), "m") == draw.UseTool("ruler")


def test_every_key_of_the_board_means_one_thing() -> None:
    taken = [one for binding in DRAWING_BINDINGS for one in binding.presses]
    assert len(taken) == len(set(taken))
    tools = {binding.action.tool for binding in DRAWING_BINDINGS
             if isinstance(binding.action, draw.UseTool)}  # fmt: skip
    assert tools == set(TOOLS)
    ways = {binding.action.name for binding in DRAWING_BINDINGS
            if isinstance(binding.action, draw.ToggleCatch)}  # fmt: skip
    assert ways == {"", *CATCHES}


def test_the_caution_stands_where_wires_are_drawn(board_state: State) -> None:
    def cautions(state: State) -> int:
        found = panel_parts(state, layout(state), caution_px=60)
        return sum(part.form == "caution" for part in found)

    assert cautions(board_state) == 0
    for tool in ("feed", "supply", "cut"):
        assert cautions(after(board_state, draw.UseTool(tool))) == 1
    wire = after(board_state, draw.Choose(Pick(Item("wire", 0))))
    assert wired(board_of(wire))
    assert cautions(wire) == 1


def test_the_view_is_enlarged_about_a_place(board_state: State) -> None:
    near = after(board_state, *[draw.Enlarge(1, (0.25, 0.75))] * 4)
    board = board_of(near)
    assert board.zoom == pytest.approx(1.25**4)
    # the place that lay at a quarter of the picture still does
    at = board.centre[0] + (0.25 - 0.5) / board.zoom
    assert at == pytest.approx(0.25)
    assert board_of(after(near, draw.Enlarge(0))).zoom == 1.0


def test_what_is_drawn_reads_as_a_house(board_state: State) -> None:
    made = after(free(board_state), draw.UseTool("place"), press(4.0, 1.0))
    assert house_from(dict(board_of(made).draft.data)).places[0].name == "place"
    assert "# Invented for a test." in board_of(made).draft.text
