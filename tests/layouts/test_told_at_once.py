"""One mistake hides no other one and makes no false one."""

from __future__ import annotations

import pytest

from layouts import InputError, house_from
from layouts.files.names import did_you_mean


def problems(**changed) -> list[str]:
    """What is said of a house in feet: three runs on three outputs, and a wire to nowhere."""
    data = {
        "name": "Hut", "units": "ft", "drawing": {"size": [40, 12], "surfaces": []},
        "runs": [{"name": n, "pixels": "ws2815", "path": [[1, y], [39, y]], "aim": "down"}
                 for n, y in (("low", 3), ("mid", 6), ("top", 9))],
        "outputs": [{"name": n, "chain": [n], "universe": u}
                    for n, u in (("low", 1), ("mid", 6), ("top", 11))],
        "supplies": [{"name": "loft", "volts": 12, "amps": 10}],
        "wires": [{"from": "loft", "to": "low.start", "wire": "14 AWG", "length": 3},
                  {"from": "lof", "to": "mid.start", "wire": "14 AWG", "length": 3}],
    }  # fmt: skip
    for path, value in changed.items():
        *way, last = path.split("__")
        at = data
        for step in way:
            at = at[int(step)] if step.isdigit() else at[step]
        at[int(last) if last.isdigit() else last] = value
    with pytest.raises(InputError) as raised:
        house_from(data)
    return [f"{each.file}: {each.what}" for each in raised.value.problems]


NOWHERE = "wires[1].from: nothing else reaches junction 'lof': a wire to nowhere"


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({}, []),
        # faults in the same list, in that of supplies and elsewhere hid it before
        ({"wires__0__fuse": "big"}, ["wires[0].fuse"]),
        ({"supplies__0__volts": -12}, ["supplies[0].volts"]),
        (
            {"wires__0__wire": "14 gauge", "supplies__0__volts": 0, "outputs__0__fps": "x"},
            ["outputs[0].fps", "supplies[0].volts", "wires[0].wire"],
        ),
    ],
)
def test_a_wire_to_nowhere_is_told_beside_other_faults(changed, told):
    found = problems(**changed)
    assert NOWHERE in found
    assert sorted(each.split(": ")[0] for each in found if each != NOWHERE) == told


@pytest.mark.parametrize(
    "changed",
    [
        # the other end of it stands in a wire that is broken otherwise
        {"wires__0": {"from": "lof", "to": "low.start", "wire": "14 AWG", "length": "far"}},
        {"wires__0": {"from": "loft", "wire": "14 AWG", "length": 3}},  # or may be what is missing
        {"supplies__0": {"nmae": "lof", "volts": 12, "amps": 10}},  # or of which supply the name is
    ],
)
def test_it_is_not_told_where_it_may_not_be_one(changed):
    assert NOWHERE not in problems(**changed)


def test_a_wrong_unit_makes_no_false_overlaps():
    """38 ft are 11.6 m: at 60 pixels a metre 694 pixels, 5 universes; 38 m are 2280, 14 of them."""
    assert problems(units="feet", wires__1__from="loft") == [
        "units: 'feet' is not one of the choices"
    ]
    # what is wrong in whichever unit is told along
    found = problems(units="feet", outputs__1__chain=["midd"])
    assert NOWHERE in found
    assert any("unknown run 'midd'" in each for each in found)
    assert not any("overlaps" in each for each in found)
    assert any("overlaps" in each for each in problems(outputs__1__universe=2))


@pytest.mark.parametrize(
    ("word", "names", "told"),
    [
        ("ws2814", ("ws2815", "ws2814-24v-rgbw", "ws2814-12v-rgbw"),
         "did you mean 'ws2814-24v-rgbw' or 'ws2814-12v-rgbw'?"),
        ("Eave", ("eave-a", "eave-b", "eave-c", "gable"),
         "did you mean 'eave-a', 'eave-b' or 'eave-c'?"),
        ("eave", ("eave-a", "eave-b", "eave-c", "eave-d"),
         "did you mean 'eave-a', 'eave-b', 'eave-c', …?"),
        ("wide", ("width",), "did you mean 'width'?"),
        ("a", ("abcdef", "abcxyz"), "there are: abcdef, abcxyz"),  # one letter begins too many
    ],
)  # fmt: skip
def test_names_that_begin_so_are_told_first(word, names, told):
    assert did_you_mean(word, names) == told
