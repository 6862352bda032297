"""What each command changes in the text, and what follows it."""

from __future__ import annotations

import difflib
import time
from pathlib import Path

import pytest

from layouts import house_data
from sim.app.edit import commands as c
from sim.app.edit.draft import Draft, NotDone, draft_from_text, draft_of, house_of, made, tried

EAVE, RAKE, SILL = (c.Item("run", name) for name in ("eave", "rake", "sill"))


def changes(before: Draft, after: Draft) -> list[str]:
    """The lines that differ, without their indents."""
    found = difflib.ndiff(before.text.splitlines(), after.text.splitlines())
    return [f"{line[0]} {line[2:].strip()}" for line in found if line[0] in "+-"]


def refused(draft: Draft, command: c.Command) -> str:
    with pytest.raises(NotDone) as told:
        made(draft, command)
    return str(told.value)


def test_one_end_moves_and_only_its_numbers_change(metric: Draft) -> None:
    after = made(metric, c.MovePoint(RAKE, 2, (9.45, 3.0)))
    assert changes(metric, after) == ["- - [9.5, 3.0]", "+ - [9.45, 3.0]"]


def test_new_things_are_written_in_the_units_and_rounding_of_the_file(
    metric: Draft, imperial: Draft
) -> None:
    path = ((1.23456, 2.0), (3.0004, 2.0))
    after = made(metric, c.AddRun("new", path, "ws2815", standoff_m=0.0512))
    assert changes(metric, after) == [
        "+ - {name: new, pixels: ws2815, path: [[1.235, 2], [3, 2]], standoff: 0.051}"
    ]
    # 4.0417 ft = 4' 0 1/2"; 2.0052 ft = 2' 0 1/16", to the fifth digit of a foot
    path = ((4.0417 * 0.3048, 2.0052 * 0.3048), (9 * 0.3048, 0.6096))
    after = made(imperial, c.AddRoute("wall", path))
    assert changes(imperial, after) == [
        "+ routes:",
        "+ - {name: wall, path: [[4.04167, 2.00521], [9, 2]]}",
    ]


def test_a_length_with_its_unit_keeps_that_manner(metric: Draft, imperial: Draft) -> None:
    wire = c.Item("wire", 4)
    assert changes(metric, made(metric, c.SetKey(wire, "length", 0.75)))[1].count("75 cm") == 1
    after = made(imperial, c.SetKey(c.Item("wire", 0), "length", 3.2))  # 10' 5.98"
    assert "length: 10 ft 6 in," in after.text
    after = made(imperial, c.ShiftBy((c.Item("surface", "wall"),), 0, 0.0254))
    assert """[33, 9 ft 7 1/2 in], [3, 9 ft 7 1/2 in]""" in after.text


def test_the_name_of_a_run_is_said_in_many_places(metric: Draft) -> None:
    after = made(metric, c.Rename(RAKE, "gable"))
    assert "rake" not in after.text.replace("brake", "")
    assert 'peak: ["gable[200:400]"]' in after.text
    assert "to: gable@4 m" in after.text
    assert "chain: [gable]" in after.text
    assert after.notes == ("schemes that light 'rake' must say 'gable' now",)
    back = made(after, c.Rename(c.Item("run", "gable"), "rake"))
    assert back.text == metric.text.replace('"rake@4 m"', "rake@4 m")  # needs no quotes


def test_the_name_of_a_place_a_supply_and_a_zone(metric: Draft) -> None:
    after = made(metric, c.Rename(c.Item("place", "attic"), "roof space"))
    assert after.text.count("at: roof space") == 2
    after = made(metric, c.Rename(c.Item("supply", "loft"), "box"))
    assert after.text.count("from: box") == 2
    after = made(metric, c.Rename(c.Item("zone", "roofline"), "top"))
    assert changes(metric, after) == [
        "- roofline: [eave, rake]     # what is seen",
        "+ top: [eave, rake]     # what is seen",
    ]


@pytest.mark.parametrize(
    ("item", "name", "told"),
    [
        (EAVE, "rake", "already the name of a run"),
        (EAVE, "loft", "already the name of a supply"),
        (EAVE, "joint", "a junction of wires"),
        (EAVE, "all", "every pixel"),
        (EAVE, "a.b", "not a name"),
        (c.Item("zone", "peak"), "rake", "already the name of a run"),
        (c.Item("surface", "door"), "wall", "already the name of a surface"),
        (c.Item("run", "eav"), "x", "did you mean 'eave'"),
    ],
)
def test_names_that_cannot_be(metric: Draft, item: c.Item, name: str, told: str) -> None:
    assert told in refused(metric, c.Rename(item, name))


def test_a_wire_hangs_on_a_run_that_is_deleted(metric: Draft) -> None:
    told = refused(metric, c.Delete((RAKE,)))
    assert "wire joint → rake@4 m" in told
    assert "output B" in told
    assert "zone peak" in told
    after = made(metric, c.Delete((RAKE,), along=True))
    house = house_of(after)
    assert [run.name for run in house.runs] == ["eave", "sill"]
    assert "peak" not in house.zones
    assert house.zones["roofline"].parts == ("eave",)
    # the wire to the joint would lead nowhere with what it fed gone
    assert [wire.label for wire in house.wires] == ["loft → eave[75]", "shed → sill[39]"]
    assert "wire loft → joint is gone too" in after.notes
    assert "zone roofline is without it" in after.notes


def test_what_is_mounted_at_a_place_stays_when_the_place_goes(metric: Draft) -> None:
    after = made(metric, c.Delete((c.Item("place", "attic"),)))
    assert house_of(after).supplies[0].at == (5.0, 4.0)
    assert house_of(after).outputs[0].at == (5.0, 4.0)


def test_the_last_run_stays(metric: Draft) -> None:
    told = refused(metric, c.Delete((EAVE, RAKE, SILL), along=True))
    assert told == "a house needs at least one run; add another before you delete the last"


def test_gaps_of_a_run_go_with_what_it_loses_and_are_not_copied(metric: Draft) -> None:
    text = metric.text.replace("name: eave,", "name: eave, missing: [5, 300],", 1)
    gapped = draft_from_text(text, metric.file)
    assert house_of(gapped).run("eave").missing == (5, 300)
    shorter = made(gapped, c.MovePoint(EAVE, 1, (2.2, 2.9)))
    assert house_of(shorter).run("eave").missing == (5,)
    twice = made(gapped, c.MirrorAbout((EAVE,), 5.0))
    assert sorted(run.missing for run in house_of(twice).runs if run.missing) == [(5, 300)]


def test_a_run_made_shorter_takes_its_feeds_cuts_and_zones_along(metric: Draft) -> None:
    # 60 pixels a metre: 1.2 m of the eave are 72 pixels, 5.03 m of the rake 301
    after = made(metric, c.MovePoint(EAVE, 1, (2.2, 2.9)))
    house = house_of(after)
    assert house.run("eave").count == 72
    assert house.run("eave").cuts == ()
    assert house.wires[0].label == "loft → eave[71]"
    assert after.notes == (
        "run eave has 72 pixels now, 480 before",
        "the cut of run eave before 200 is gone",
        "the wire at eave[75] is at eave[71] now",
    )
    after = made(metric, c.RemovePoint(RAKE, 2))
    assert house_of(after).zones["peak"].parts == ("rake[200:301]",)
    after = made(metric, c.SetKey(RAKE, "count", 210))
    assert house_of(after).zones["peak"].parts == ("rake[200:210]",)
    assert "would have no pixels left" in refused(metric, c.SetKey(RAKE, "count", 200))


@pytest.mark.parametrize(
    ("command", "told"),
    [
        (c.MovePoint(SILL, 1, (2.0, 0.95)), "no length"),
        (c.AddRun("dot", ((0, 0), (0.01, 0)), "ws2815"), "shorter than one pixel of 16.67 mm"),
        (c.AddRun("lot", ((0, 0), (1, 0)), "nothing"), "no kind 'nothing'"),
        (c.MovePoint(c.Item("surface", "door"), 0, (8.0, 1.0)), "cross itself"),
        (c.AddSurface("s", ((0, 0), (1, 1), (1, 0), (0, 1)), "stone"), "cross itself"),
        (c.AddSurface("s", ((0, 0), (1, 1), (2, 2)), "stone"), "encloses nothing"),
        (c.RemovePoint(c.Item("surface", "roof"), 0), "only its three corners"),
        (c.RemovePoint(EAVE, 0), "only its two ends"),
        (c.MovePoint(EAVE, 2, (0, 0)), "there is none with number 3"),
        (c.SetKey(SILL, "spare_first", 40), "all of them spare"),
        (c.SetKey(EAVE, "colour", "red"), "these can: pixels"),
        (c.SetKey(c.Item("supply", "loft"), "at", "cellar"), "no place 'cellar'"),
        (c.ShiftBy((c.Item("supply", "loft"),), 1, 0), "mounted at place attic"),
        (c.ShiftBy((c.Item("wire", 0),), 1, 0), "no place of its own"),
        (c.RepeatBy((EAVE,), 3, 0, 0), "lie on each other"),
        (c.RepeatBy((EAVE,), 1000, 1, 0), "1000 copies"),
        (c.AddCut("eave", 480), "not between two pixels"),
        (c.AddCut("eave", 200), "already cut"),
        (c.AddWire("loft", "loft", "14 AWG", 1), "to itself"),
        (c.AddWire("loft", "nowhere", "14 AWG", 1), "to nowhere"),
        (c.AddOutput("C", ("eave",)), "already on output"),
        (c.SetKey(c.Item("output", "A"), "universe", 19), "overlaps"),
        (c.Delete((c.Item("wire", 9),)), "there is no wire 10"),
    ],
)
def test_what_cannot_be_is_told_and_changes_nothing(
    metric: Draft, command: c.Command, told: str
) -> None:
    text = metric.text
    house = house_of(metric)
    assert told in refused(metric, command)
    with pytest.raises(NotDone, match="; "):  # what, and what to do
        house_of(tried(metric, command), house)
    assert metric.text == text


def test_a_surface_goes_forward_with_its_remark(metric: Draft) -> None:
    after = made(metric, c.Restack("wall", 2))
    names = [each.name for each in house_of(after).drawing.surfaces]
    assert names == ["roof", "window", "wall", "door"]
    assert sorted(after.text.splitlines()) == sorted(metric.text.splitlines())
    assert made(after, c.Restack("wall", -2)).text == metric.text
    assert made(metric, c.Restack("door", 5)) is metric


def test_a_surface_is_put_over_another(metric: Draft) -> None:
    corners = ((4.0, 1.0), (5.0, 1.0), (5.0, 2.0))
    after = made(metric, c.AddSurface("vent", corners, "stone", 0.1, over="roof"))
    assert changes(metric, after) == [
        "+ - {name: vent, material: stone, depth: 0.1, outline: [[4, 1], [5, 1], [5, 2]]}"
    ]
    assert [each.name for each in house_of(after).drawing.surfaces][2] == "vent"


def test_feeds_move_and_places_too(metric: Draft) -> None:
    feed = c.Item("wire", 0)
    after = made(metric, c.SetKey(feed, "to", "eave[90]"))
    assert house_of(after).wires[0].end.pad == 91
    after = made(metric, c.ShiftBy((c.Item("place", "attic"), c.Item("supply", "shed")), 0.5, 0.25))
    assert house_of(after).places[0].xy_m == (5.5, 4.25)
    assert house_of(after).supplies[1].at == (9.0, 0.75)


def test_nothing_changed_is_the_same_draft(metric: Draft) -> None:
    assert made(metric, c.ShiftBy((EAVE,), 0, 0)) is metric
    assert made(metric, c.MovePoint(EAVE, 0, (1.0, 2.9))) is metric
    assert made(metric, c.Rename(EAVE, "eave")) is metric


def test_zones_chains_and_cuts(metric: Draft) -> None:
    command = c.Several(
        (
            c.AddZone("low", ("sill", "eave[0:10]")),
            c.SetKey(c.Item("zone", "peak"), "parts", ("rake[250:350]",)),
            c.SetKey(c.Item("output", "A"), "chain", ("sill", "eave")),
            c.MoveCut("eave", 200, 240),
            c.AddCut("rake", 300),
        ),
        "five at once",
    )
    house = house_of(made(metric, command))
    assert house.zones["low"].parts == ("sill", "eave[0:10]")
    assert house.zones["peak"].parts == ("rake[250:350]",)
    assert house.outputs[0].chain == ("sill", "eave")
    assert (house.run("eave").cuts, house.run("rake").cuts) == ((240,), (300,))
    assert "cuts" not in made(metric, c.RemoveCut("eave", 200)).text


def test_an_alias_is_written_out_where_it_is_changed(imperial: Draft) -> None:
    after = made(imperial, c.ShiftBy((c.Item("surface", "shade"),), 0.3048, 0))
    assert "{name: shade, material: stone, depth: 6 in, outline: [[3, 9], [35, 9], [19, 17]]}" in (
        after.text
    )
    assert "outline: &gable [[2, 9]" in after.text


def test_a_draft_of_a_text_without_a_house_is_told() -> None:
    with pytest.raises(Exception, match=r"house\.yaml:1:1: the key 'runs' is missing"):
        draft_from_text("format: evenfall-house/1\nname: x\ndrawing: {}\n", "house.yaml")


def test_the_quick_way_is_the_whole_way(cottage: Draft) -> None:
    house = house_of(cottage)
    for command in (
        c.MovePoint(c.Item("run", "gable"), 1, (10.4, 5.0)),
        c.ShiftBy((c.Item("surface", "door"), c.Item("surface", "lamp")), 0.2, 0),
        c.Rename(c.Item("run", "porch"), "veranda"),
        c.Delete((c.Item("run", "gable"),), along=True),
        c.AddZone("front", ("porch", "gable[10:40]")),
        c.AddPlace("cellar", (4, 0.4)),
        c.MirrorAbout((c.Item("run", "eave-left"),), 8.0),
        c.SetKey(c.Item("drawing"), "viewer", 20.0),
        c.Restack("door", 3),
    ):
        after = made(cottage, command, house)
        assert house_data(house_of(after, house)) == house_data(house_of(after))


def test_expressions_become_numbers_where_they_are_touched() -> None:
    draft = draft_of(Path(__file__).parent / "measured.yaml")
    assert house_of(draft).run("eave").count == 240
    after = made(draft, c.MovePoint(c.Item("surface", "roof"), 2, (6.0, 6.5)))
    assert changes(draft, after) == [
        "- - {name: roof, material: slate, outline: [[0, = eave], [= width, = eave],"
        " [= width / 2, 6]], depth: = eave / 10}",
        "+ - {name: roof, material: slate, outline: [[0, 3], [12, 3], [6, 6.5]],"
        " depth: = eave / 10}",
    ]
    after = made(draft, c.MovePoint(c.Item("run", "eave"), 1, (9.0, 3.0)))
    assert "path: [[0, 3], [9, 3]], count: = width / 5 cm" in after.text
    assert house_data(house_of(after, house_of(draft))) == house_data(house_of(after))


def test_the_minus_that_a_controller_shares(metric: Draft) -> None:
    output, supply = c.Item("output", "A"), c.Item("supply", "shed")
    shared = made(metric, c.SetKey(output, "common_minus", "shed"))
    assert house_of(made(shared, c.Rename(supply, "hut"))).outputs[0].common_minus == "hut"
    after = made(shared, c.Delete((supply,), along=True))
    assert house_of(after).outputs[0].common_minus is None
    assert "output A has no common minus any more" in after.notes


def test_a_step_of_a_drag_is_quick(cottage: Draft) -> None:
    house = house_of(cottage)

    def once(number: int) -> float:
        to_m = (2.55 + number * 0.01, 2.82)
        begin = time.process_time()
        house_of(tried(cottage, c.MovePoint(c.Item("run", "eave-left"), 0, to_m)), house)
        return time.process_time() - begin

    assert min(once(number) for number in range(20)) < 8e-3  # a quarter of a turn at 30 a second


def test_a_set_current_goes_with_its_kind(metric: Draft) -> None:
    other = made(metric, c.SetKey(SILL, "pixels", "tm1814-12v-rgbw"))
    after = made(other, c.SetKey(SILL, "set_ma", 30.0))
    assert house_of(after).run("sill").kind.set_ma == 30
    assert "fixed" in refused(metric, c.SetKey(SILL, "set_ma", 10.0))
    again = made(after, c.SetKey(SILL, "pixels", "ws2815"))
    assert "set_ma" not in again.text
