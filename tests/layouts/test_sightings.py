"""The sightings file: what it says, and what is refused with line and column."""

from __future__ import annotations

from pathlib import Path

import pytest

from layouts import InputError, load_house
from layouts.records import House
from layouts.sightings import sightings_from_text

COTTAGE = Path(__file__).parents[2] / "demo/cottage/house.yaml"


@pytest.fixture(scope="module")
def house() -> House:
    return load_house(COTTAGE)


def _seen(text: str, house: House):  # type: ignore[no-untyped-def]
    return sightings_from_text(f"format: evenfall-sightings/1\nseen:\n{text}", "s.yaml", house)


def test_what_is_read(house: House) -> None:
    seen = _seen(
        "  - {dark: 'gable[75:389]'}\n"
        "  - {dark: 'gable[75]', onwards: true}\n"
        "  - {volts: 4.31 V, at: gable.end, during: white}\n"
        "  - {watts: 53, at: wall}\n"
        "  - {fuse: 'loft → gable[70]', then: blown}\n"
        "  - {swap: B, then: dark}\n"
        "  - {bridge: 'gable[1]', then: lit}\n"
        "  - {lit: eaves}\n",
        house,
    ).seen
    gable, right = house.run("gable"), house.run("eave-right")
    assert seen[0].pixels.tolist() == list(range(gable.first + 75, gable.first + 389))
    # From there on to the end of its chain: the right eave is behind the gable on output B.
    behind = seen[1].pixels.tolist()
    assert behind[0] == gable.first + 75
    assert behind[-1] == right.first + right.count - 1
    assert (seen[2].value, seen[2].at, seen[2].during) == (4.31, ("run", "gable", 390), "white")
    assert [each.then for each in seen[4:7]] == ["blown", "dark", "lit"]
    assert (seen[4].wire, seen[5].output) == (0, 1)
    zone = {*house.zones["eaves"].pixels.tolist()}
    assert {*seen[7].pixels.tolist()} == zone


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("{dark: 'gable[400]'}", "3:12: 'gable[400]' is outside run 'gable'"),
        ("{dark: gabel}", "3:12: unknown run or zone 'gabel'"),
        ("{volts: 7.5, at: gable.end}", "3:13: 7.5 V are more than the 5 V of any supply"),
        ("{volts: -4, at: gable.end}", "3:13: -4 V: + and − of the meter are the wrong way round"),
        ("{watts: -3}", "3:13: -3 W cannot be"),
        ("{watts: 53, at: loft}", "3:21: watts are read at the wall"),
        ("{volts: 4.3, at: attic}", "3:22: no place 'attic'"),
        ("{volts: 4.3}", "'volts' needs 'at'"),
        ("{dark: gable, lit: porch}", "an entry with dark and lit"),
        ("{swap: Z, then: lit}", "3:12: unknown output 'Z'"),
        ("{fuse: 'loft → gable[70]', then: lit}", "'fuse' cannot be 'lit'"),
        ("{dark: gable, during: off}", "while nothing is shown says nothing"),
        ("{dim: gable}", "unknown key 'dim'"),
    ],
)
def test_refused(line: str, said: str, house: House) -> None:
    with pytest.raises(InputError) as refused:
        _seen(f"  - {line}\n", house)
    assert said in str(refused.value)


def test_everything_wrong_is_told_at_once(house: House) -> None:
    with pytest.raises(InputError) as refused:
        _seen("  - {dark: 'gable[400]'}\n  - {watts: -3}\n  - {lit: nowhere}\n", house)
    assert len(refused.value.problems) == 3


def test_nothing_seen_is_refused(house: House) -> None:
    with pytest.raises(InputError, match="nothing was seen"):
        sightings_from_text("format: evenfall-sightings/1\nseen: []\n", "s.yaml", house)
