"""Which layer of a changed file is which, and that unsaved values go with their layer only."""

from __future__ import annotations

from dataclasses import replace
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sim.app.state import actions as act
from sim.app.state.layers import LayerMark, matched, numbered
from sim.app.state.record import Facts, LayerFacts, ParameterFacts, State
from sim.app.state.settings import changes_of
from sim.app.state.update import update


def layer(effect: str, zones: str = "eaves", palette: str = "ember", speed: float = 0.5) -> (
    LayerFacts
):  # fmt: skip
    parameters = (ParameterFacts("palette", palette, choices=("ember", "frost", "leaf")),
                  ParameterFacts("speed", speed, "m/s", 0.0, 4.0))  # fmt: skip
    return LayerFacts(effect, (zones,), parameters)


CHASE, GLINT, STEADY = layer("chase"), layer("glint", "gable"), layer("steady", "all", "frost")
OTHER = layer("fade", "porch")


def reading(facts: Facts, *layers: LayerFacts) -> act.Loaded:
    return act.Loaded(replace(facts, layers=layers))


@pytest.fixture
def edited(facts: Facts) -> State:
    """Chase, glint and steady; the glint's speed is set to 2, it alone is shown, chase hidden."""
    state = update(State("house.yaml"), reading(facts, CHASE, GLINT, STEADY))
    for action in (act.Set("1.speed", 2.0), act.Set("1.only", True), act.Set("0.hide", True)):
        state = update(state, action)
    return state


def written(state: State) -> dict[tuple[str | int, ...], object]:
    """What "write" would put where."""
    return dict(changes_of(state))


def test_a_layer_put_in_above_does_not_take_the_values(edited: State, facts: Facts) -> None:
    read = update(edited, reading(facts, OTHER, CHASE, GLINT, STEADY))
    assert written(read) == {("layers", 2, "set", "speed"): 2.0}
    assert [read.value(index, "speed") for index in range(4)] == [0.5, 0.5, 2.0, 0.5]
    assert read.only == read.facts.marks[2]
    assert read.hidden == {read.facts.marks[1]}
    assert read.question is None


def test_a_layer_of_the_same_effect_put_in_above_does_not_take_them(
    edited: State, facts: Facts
) -> None:
    read = update(edited, reading(facts, layer("glint", "gable", "leaf"), CHASE, GLINT, STEADY))
    assert written(read) == {("layers", 2, "set", "speed"): 2.0}


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_layers_in_another_order_keep_theirs(
    edited: State, facts: Facts, order: tuple[int, ...]
) -> None:
    layers = (CHASE, GLINT, STEADY)
    read = update(edited, reading(facts, *(layers[index] for index in order)))
    at = order.index(1)
    assert written(read) == {("layers", at, "set", "speed"): 2.0}
    assert read.only == read.facts.marks[at]
    assert not read.aside


def test_values_of_a_removed_layer_are_set_aside_with_a_word_and_come_back(
    edited: State, facts: Facts
) -> None:
    gone = update(edited, reading(facts, CHASE, STEADY))
    assert written(gone) == {}
    assert (gone.only, gone.changed) == (None, True)
    assert gone.message is not None
    assert "Set aside" in gone.message.text
    assert "speed 2 of glint" in gone.message.text
    back = update(gone, reading(facts, GLINT, CHASE, STEADY))
    assert written(back) == {("layers", 0, "set", "speed"): 2.0}
    assert back.aside == ()
    assert update(gone, act.Revert()).aside == ()


def test_of_a_doubled_layer_neither_is_certain(edited: State, facts: Facts) -> None:
    read = update(edited, reading(facts, CHASE, GLINT, GLINT, STEADY))
    assert written(read) == {}
    assert [one.value for one in read.aside] == [2.0]
    assert read.only is None
    back = update(read, reading(facts, CHASE, GLINT, STEADY))
    assert written(back) == {("layers", 1, "set", "speed"): 2.0}


def test_of_two_alike_the_edited_one_stays_while_both_are_there(facts: Facts) -> None:
    state = update(State("house.yaml"), reading(facts, GLINT, CHASE, GLINT))
    state = update(state, act.Set("2.speed", 3.0))
    read = update(state, reading(facts, OTHER, GLINT, CHASE, GLINT))
    assert written(read) == {("layers", 3, "set", "speed"): 3.0}


def test_what_the_window_wrote_is_no_doubt_even_among_layers_alike(facts: Facts) -> None:
    state = update(State("house.yaml"), reading(facts, GLINT, GLINT))
    state = update(state, act.Set("1.speed", 3.0))
    read = update(state, reading(facts, GLINT, layer("glint", "gable", speed=3.0)))
    assert not read.changed
    assert read.message is None


def test_the_edited_layer_changed_in_the_file_keeps_its_values(edited: State, facts: Facts) -> None:
    leafy = update(edited, reading(facts, CHASE, layer("glint", "gable", "leaf"), STEADY))
    assert written(leafy) == {("layers", 1, "set", "speed"): 2.0}
    assert leafy.question is None
    moved = update(edited, reading(facts, OTHER, layer("glint", "gable", "leaf"), STEADY))
    assert written(moved) == {("layers", 1, "set", "speed"): 2.0}


def test_the_same_value_changed_in_the_file_is_asked_about(edited: State, facts: Facts) -> None:
    read = update(edited, reading(facts, OTHER, CHASE, layer("glint", "gable", speed=1.0), STEADY))
    assert read.collided == {"2.speed"}
    assert read.question is not None
    assert "file says 1.00 m/s, this window 2.00 m/s" in read.question.lines[0]
    assert read.value(2, "speed") == 2.0
    kept = update(read, act.Answer("keep-file"))
    assert (kept.changed, kept.question, kept.value(2, "speed")) == (False, None, 1.0)


def test_another_effect_on_the_same_zones_does_not_get_them(edited: State, facts: Facts) -> None:
    read = update(edited, reading(facts, CHASE, layer("fade", "gable"), STEADY))
    assert written(read) == {}
    assert len(read.aside) == 1


def test_the_keys_stay_with_their_control(edited: State, facts: Facts) -> None:
    focused = replace(edited, focus="1.speed", drag="1.speed")
    read = update(focused, reading(facts, OTHER, CHASE, GLINT, STEADY))
    assert (read.focus, read.drag) == ("2.speed", "2.speed")
    gone = update(focused, reading(facts, CHASE, STEADY))
    assert (gone.focus, gone.drag) == (None, None)


MARKS = st.lists(
    st.builds(LayerMark, st.sampled_from("ab"), st.sampled_from([("x",), ("y",)]),
              st.sampled_from(["p", "q"]), st.sampled_from([(), (("speed", 1.0),)])),
    max_size=6,
).map(numbered)  # fmt: skip


@given(MARKS, MARKS)
def test_no_layer_is_taken_twice_and_effect_and_zones_always_agree(
    old: tuple[LayerMark, ...], new: tuple[LayerMark, ...]
) -> None:
    pairs = matched(old, new)
    assert len(set(pairs.values())) == len(pairs)
    for here, there in pairs.items():
        assert here in old
        assert there in new
        assert (here.effect, here.zones) == (there.effect, there.zones)


@given(MARKS, st.randoms())
def test_reordering_loses_no_layer(marks: tuple[LayerMark, ...], random: object) -> None:
    shuffled = list(marks)
    random.shuffle(shuffled)  # type: ignore[attr-defined]
    pairs = matched(marks, numbered(replace(mark, nth=0) for mark in shuffled))
    assert set(pairs) == set(marks)
    for here, there in pairs.items():
        assert replace(here, nth=0) == replace(there, nth=0)
