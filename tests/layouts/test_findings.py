"""What a house file is found to do wrong, finding by finding."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from layouts import Finding, House, house_findings
from sim.report.wording import sentence

HEAD = """\
format: evenfall-house/1
name: Test
drawing: {size: [60, 5]}
"""


def runs(*texts: str) -> str:
    return "runs:\n" + "".join(f"  - {{{text}}}\n" for text in texts)


EAVE = "name: eave, pixels: ws2813, path: [[0, 3], [5, 3]]"
GABLE = "name: gable, pixels: ws2813, path: [[5, 3], [10, 3]]"
BOX = "supplies:\n  - {name: box, volts: 5, amps: 40}\n"
TWO = "supplies:\n  - {name: a, volts: 5, amps: 40}\n  - {name: b, volts: 5, amps: 40}\n"


@pytest.fixture
def found(house: Callable[[str], House]) -> Callable[[str], list[Finding]]:
    return lambda text: list(house_findings(house(HEAD + text)))


Found = Callable[[str], list[Finding]]


def codes(findings: list[Finding]) -> list[tuple[str, str, str]]:
    return [(finding.level, finding.code, finding.where) for finding in findings]


def wires(*texts: str) -> str:
    return "wires:\n" + "".join(f"  - {{{text}}}\n" for text in texts)


def test_a_well_wired_house_has_none(found: Found) -> None:
    text = runs(EAVE) + BOX
    text += wires("from: box, to: eave.start, wire: 14 AWG, length: 2, fuse: 15")
    text += "outputs: [{name: port, chain: [eave], universe: 1, fps: 40}]\n"
    assert found(text) == []


def test_no_supplies(found: Found) -> None:
    assert codes(found(runs(EAVE))) == [("note", "no-supplies", "Test")]


def test_a_feed_without_a_fuse(found: Found) -> None:
    text = runs(EAVE) + BOX + wires("from: box, to: eave.start, wire: 14 AWG, length: 2")
    (only,) = found(text)
    assert (only.level, only.code, only.where) == ("danger", "unfused-feed", "box → eave.start")
    assert sentence(only) == (
        "no fuse where this wire of 14 AWG leaves supply box, which gives 40 A;"
        " add a fuse of at most 15 A at the supply"
    )
    # A supply too small to harm the wire: still worth a fuse, not a danger.
    small = text.replace("amps: 40", "amps: 8")
    assert codes(found(small)) == [("warning", "unfused-feed", "box → eave.start")]


def test_a_fuse_too_big_for_its_wire(found: Found) -> None:
    text = runs(EAVE) + BOX
    text += wires("from: box, to: eave.start, wire: 18 AWG, length: 2, fuse: 10")
    (only,) = found(text)
    # NEC 240.4(D): 18 AWG behind 7 A (from memory).
    assert (only.level, only.code) == ("danger", "fuse-too-big")
    assert sentence(only) == (
        "a fuse of 10 A does not protect a wire of 18 AWG, which may carry 7 A;"
        " use a smaller fuse or a thicker wire"
    )


def test_a_fuse_nobody_makes(found: Found) -> None:
    text = runs(EAVE) + BOX
    text += wires("from: box, to: eave.start, wire: 14 AWG, length: 2, fuse: 12")
    (only,) = found(text)
    assert (only.level, only.code) == ("note", "fuse-not-made")
    assert sentence(only) == "blade fuses are not made for 12 A; the nearest is 10 A"


def test_a_thin_wire_behind_a_big_fuse(found: Found) -> None:
    text = runs(EAVE, GABLE) + BOX
    feed = "from: box, to: trunk, wire: 12 AWG, length: 2, fuse: 20"
    thin = "from: trunk, to: eave.start, wire: 18 AWG, length: 2"
    on = "from: eave.end, to: gable.start, wire: 16 AWG, length: 1"
    (first, second) = found(text + wires(feed, thin, on))
    assert (first.level, first.code, first.where) == (
        "warning",
        "wire-behind-big-fuse",
        "trunk → eave.start",
    )
    assert sentence(first) == (
        "18 AWG may carry 7 A and stands behind the 20 A fuse of box → trunk;"
        " fuse it for its own size, or use a thicker wire"
    )
    assert second.where == "eave.end → gable.start"  # the strip passes the fault on
    fused = thin + ", fuse: 5"
    assert codes(found(text + wires(feed, fused, on))) == []


def test_joined_supplies(found: Found) -> None:
    ends = "from: {}, to: eave.{}, wire: 14 AWG, length: 2, fuse: 15"
    text = runs(EAVE) + TWO + wires(ends.format("a", "start"), ends.format("b", "end"))
    (only,) = found(text)
    assert (only.level, only.code, only.where) == ("danger", "supplies-joined", "a, b")
    assert sentence(only) == (
        "the + of supplies a, b are joined; cut the + between them and join only the −"
    )
    unequal = text.replace("{name: b, volts: 5", "{name: b, volts: 5.2")
    assert "are joined and their voltages differ" in sentence(found(unequal)[0])


def test_supplies_apart_are_not_joined(found: Found) -> None:
    ends = "from: {}, to: {}.start, wire: 14 AWG, length: 2, fuse: 15"
    text = runs(EAVE, GABLE) + TWO + wires(ends.format("a", "eave"), ends.format("b", "gable"))
    assert found(text) == []


def test_a_supply_of_another_voltage(found: Found) -> None:
    text = runs("name: eave, pixels: ws2815, path: [[0, 3], [5, 3]]") + BOX
    text += wires("from: box, to: eave.start, wire: 14 AWG, length: 2, fuse: 15")
    (only,) = found(text)
    assert (only.level, only.code, only.where) == ("danger", "supply-voltage", "eave")
    assert sentence(only) == (
        "supply box gives 5 V, ws2815 pixels of run eave need 12 V; change the supply or the pixels"
    )
    assert found(text.replace("volts: 5", "volts: 12.4")) == []  # trimmed up against the drop


def test_a_supply_that_feeds_nothing(found: Found) -> None:
    text = runs(EAVE) + TWO
    text += wires("from: a, to: eave.start, wire: 14 AWG, length: 2, fuse: 15")
    assert codes(found(text)) == [("note", "supply-unused", "b")]


def quiet(text: str) -> str:
    """With power, so that only data is found wanting."""
    feed = "from: box, to: {}.start, wire: 14 AWG, length: 2, fuse: 15"
    names = [name for name in ("eave", "gable") if f"name: {name}," in text]
    return text + BOX + wires(*(feed.format(name) for name in names))


def test_a_chain_too_long_for_its_frame_rate(found: Found) -> None:
    text = quiet(runs(EAVE + ", count: 300", GABLE + ", count: 300"))
    text += "outputs: [{name: port, chain: [eave, gable], fps: 60}]\n"
    (only,) = found(text)
    # WS2813: 600 · 24 · 1.25 µs + 300 µs = 18.3 ms, 54.6 frames a second.
    assert (only.level, only.code, only.where) == ("warning", "refresh-rate", "port")
    assert sentence(only) == (
        "600 pixels on output port take 18.3 ms a frame, at most 54.6 frames a second where 60"
        " are asked; split the chain or ask for fewer"
    )
    assert found(text.replace("fps: 60", "fps: 54")) == []


def test_data_that_goes_too_far(found: Found) -> None:
    far = "name: gable, pixels: ws2813, path: [[10.1, 3], [15, 3]]"
    text = quiet(runs(EAVE, far)) + "outputs: [{name: port, chain: [eave, gable]}]\n"
    (only,) = found(text)
    # WS2813 data sheet: 5 m between pixels.
    assert (only.level, only.code, only.where) == ("warning", "data-hop", "port")
    assert "data goes 5.1 m from the end of eave to gable, ws2813 is stated for 5 m" in sentence(
        only
    )


def test_pixels_too_far_apart_for_data(found: Found) -> None:
    text = quiet(runs("name: eave, pixels: far, path: [[0, 3], [24, 3]]"))
    text += "kinds: {far: {like: ws2813, pitch: 6 m, mount: string}}\n"
    text += "outputs: [{name: port, chain: [eave]}]\n"
    (only,) = found(text)
    assert (only.code, only.where) == ("data-hop", "port")
    assert sentence(only).startswith("the pixels of eave are 6.0 m apart, far is stated for 5 m")


def test_a_run_on_no_output(found: Found) -> None:
    text = quiet(runs(EAVE, GABLE)) + "outputs: [{name: port, chain: [eave]}]\n"
    assert codes(found(text)) == [("warning", "run-without-output", "gable")]


def test_addresses_overlap_after_a_change_of_kind(house: Callable[[str], House]) -> None:
    from layouts import kinds, with_kind

    text = HEAD + quiet(runs(EAVE + ", count: 170", GABLE + ", count: 170"))
    text += "outputs: [{name: a, chain: [eave], universe: 1}, "
    text += "{name: b, chain: [gable], universe: 2}]\n"
    made = house(text)
    wide = with_kind(made, kinds()["sk6812-rgbw-warm"])
    assert "addresses-overlap" not in [finding.code for finding in house_findings(made)]
    # 170 pixels of 4 channels: 128 in universe 1, 42 in universe 2.
    assert "addresses-overlap" in [finding.code for finding in house_findings(wide)]


def test_a_strip_that_does_not_fit_its_path(found: Found) -> None:
    for count in (290, 310):
        (only,) = found(quiet(runs(f"{EAVE}, count: {count}")))
        assert (only.level, only.code, only.where) == ("warning", "strip-pitch", "eave")
    assert found(quiet(runs(f"{EAVE}, count: 302"))) == []


def test_a_string_may_be_bunched_but_not_stretched(found: Found) -> None:
    string = "name: eave, pixels: ws2811-12v-group3, path: [[0, 3], [5, 3]]"

    def of(count: int) -> list[str]:
        text = quiet(runs(f"{string}, count: {count}")).replace("volts: 5", "volts: 12")
        return [finding.code for finding in found(text)]

    assert of(40) == ["strip-pitch", "figures-borrowed"]
    assert of(60) == ["figures-borrowed"]


def test_pixels_outside_the_drawing(found: Found) -> None:
    text = quiet(runs("name: eave, pixels: ws2813, path: [[-0.1, 3], [5, 3]]"))
    (only,) = found(text)
    assert (only.level, only.code) == ("warning", "outside-drawing")
    assert sentence(only).startswith("6 pixels of run eave lie outside the drawing")


def test_borrowed_figures_are_named(found: Found) -> None:
    text = quiet(runs("name: eave, pixels: ws2812b-v5, path: [[0, 3], [5, 3]]"))
    assert codes(found(text)) == [("note", "figures-borrowed", "ws2812b-v5")]
    own = "kinds: {mine: {like: ws2812b-v5, channels: {r: {vf: 2, nm: 622, lm: 1}, "
    own += "g: {vf: 3, nm: 522, lm: 2}, b: {vf: 3, nm: 466, lm: 0.5}}}}\n"
    assert found(own + text.replace("ws2812b-v5", "mine")) == []


def test_dangers_come_first(found: Found) -> None:
    text = runs(EAVE) + TWO + wires("from: a, to: eave.start, wire: 14 AWG, length: 2")
    assert [finding.level for finding in found(text)] == ["danger", "note"]


@pytest.mark.parametrize(("standoff", "told"), [("2", []), ("2.01", ["standoff-far"])])
def test_a_run_far_from_its_wall(found: Found, standoff: str, told: list[str]) -> None:
    text = quiet(runs(f"name: eave, pixels: ws2813, path: [[0, 3], [5, 3]], standoff: {standoff}"))
    only = found(text)
    assert [finding.code for finding in only] == told
    assert all("stands off 2.01 m from the wall; check the unit" in sentence(each) for each in only)
