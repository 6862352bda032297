"""Parts files: what is read, and every refusal at its place."""

from pathlib import Path

import pytest

import sim.parts
from layouts import load_house
from layouts.errors import InputError
from layouts.files.document import read
from sim.parts import builtin_parts, load_parts, parts_beside, parts_schema

HEAD = "format: evenfall-parts/1\ncurrency: EUR\n"


def problems(folder, body, house):
    path = folder / "wrong.yaml"
    path.write_text(body)
    with pytest.raises(InputError) as refused:
        load_parts(path, house)
    return [f"{p.line}:{p.column}: {p.what}; {p.do}" for p in refused.value.problems]


def test_a_whole_file(house, folder):
    parts = load_parts(folder / "parts.yaml", house)
    assert parts.currency == "EUR"
    assert parts.wires["14 AWG"].stock_m == (5.0,)
    assert parts.wires["16 AWG"].colours == ("red", "black")
    assert parts.profiles["channel-frosted"].clips_every_m == pytest.approx(0.5)
    assert (parts.slack_m, parts.kerf_m, parts.spares) == (0.25, 0.003, 0.1)
    assert parts.work.feed_min == 20
    assert parts.work.joint_min == builtin_parts().work.joint_min


def test_bare_lengths_are_in_the_units_of_the_file(house, folder):
    (folder / "parts.yaml").write_text(
        HEAD + "units: mm\nkerf: 2.5\nslack: 1 ft\n"
        "profiles: {channel-clear: {bars: [{length: 2500, price: 1}, {length: 1000, price: 1}]}}\n"
    )
    parts = load_parts(folder / "parts.yaml", house)
    assert (parts.kerf_m, parts.slack_m) == (0.0025, 0.3048)
    assert [bar.length_m for bar in parts.profiles["channel-clear"].bars] == [1.0, 2.5]


def test_the_kinds_of_the_house_may_be_named(folder, house):
    text = (folder / "house.yaml").read_text()
    kinds = "kinds: {own: {like: ws2812b, per_metre: 30}}\nruns:"
    (folder / "house.yaml").write_text(text.replace("runs:", kinds))
    from layouts import load_house

    own = load_house(folder / "house.yaml")
    (folder / "parts.yaml").write_text(HEAD + "kinds: {own: {reel: 5 m, price: 20}}\n")
    assert load_parts(folder / "parts.yaml", own).strips["own"].price == 20
    assert (
        "unknown kind of pixel 'own'"
        in problems(folder, HEAD + "kinds: {own: {reel: 5 m, price: 20}}\n", house)[0]
    )


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (
            HEAD + "supplies: [{part: box, amps: 20, price: 3}]\n",
            "3:12: the key 'volts' is missing; add it",
        ),
        (
            HEAD + "kinds: {ws2812: {reel: 5 m}}\n",
            "3:9: unknown kind of pixel 'ws2812'; did you mean"
            " 'ws2812b', 'ws2812b-v5', 'ws2812b-30', …?",
        ),
        (
            HEAD + "profiles: {channel-frost: {clip: 1}}\n",
            "3:12: unknown profile 'channel-frost'; did you mean 'channel-frosted'?",
        ),
        (
            HEAD + "kinds: {ws2812b: {nodes: 50}}\n",
            "3:19: 'ws2812b' is a strip and has no 'nodes'; write 'reel'",
        ),
        (
            HEAD + "kinds: {ws2811-12v-group3: {reel: 5 m}}\n",
            "3:29: 'ws2811-12v-group3' is a string and has no 'reel'; write 'nodes'",
        ),
        (
            HEAD + "kinds: {ws2812b: {price: 30}}\n",
            "3:9: the price of 'ws2812b' says not for how much; add 'reel'",
        ),
        (
            HEAD + "kinds: {ws2812b: {reel: 5 mm}}\n",
            "3:25: a reel of 0.005 m holds no pixel of 'ws2812b'; check its unit",
        ),
        (
            "format: evenfall-parts/1\nfuse: {price: 1}\n",
            "1:1: there are prices but no currency; add 'currency: EUR'",
        ),
        (HEAD + "kerf: 3\n", "3:7: a kerf of 3 m makes no sense; write 0 to 20 mm"),
        (HEAD + "slack: 20 m\n", "3:8: a slack of 20 m makes no sense; write 0 to 10 m"),
        (
            HEAD + "wire: [{wire: 14 AWG, per_metre: 1}, {wire: 14 AWG, per_metre: 2}]\n",
            "3:38: '14 AWG' is there twice; keep one",
        ),
        (
            HEAD + "wire: [{wire: 14 AWG, stock: [5 m]}]\n",
            "3:8: wire 14 AWG comes on reels but has no 'per_metre'; add what a metre of it costs",
        ),
        (HEAD + "suplies: []\n", "3:1: unknown key 'suplies'; did you mean 'supplies'?"),
    ],
)
def test_refusals(folder, house, body, expected):
    (found,) = problems(folder, body, house)
    assert found.startswith(expected)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        # 5 mm are 0.197 in, 3 m are 118.11 in; 20 mm are 6.3 eighths of an inch, 10 m are 3149.6
        ("kinds: {ws2812b: {reel: 5 mm}}\n", "a reel of 1/4 in holds no pixel of 'ws2812b'"),
        ("kinds: {ws2812b: {reel: 1 mm}}\n", "a reel of 0.001 m holds no pixel of 'ws2812b'"),
        ("kerf: 3\n", "a kerf of 9 ft 10 1/8 in makes no sense; write 0 to 3/4 in"),
        ("slack: 20 m\n", "a slack of 65 ft 7 3/8 in makes no sense; write 0 to 32 ft 9 5/8 in"),
    ],
)
def test_a_house_in_feet_is_refused_in_feet(folder, body, expected):
    text = (folder / "house.yaml").read_text().replace("name: Shed\n", "name: Shed\nunits: ft\n")
    (folder / "house.yaml").write_text(text)
    house = load_house(folder / "house.yaml")
    assert expected in problems(folder, HEAD + body, house)[0]
    assert (
        expected in problems(folder, HEAD + "units: ft\n" + body.replace("3\n", "3 m\n"), None)[0]
    )


@pytest.mark.parametrize("most", ["3/4 in", "19 mm"])
def test_what_the_refusal_names_is_taken(folder, house, most):
    (folder / "parts.yaml").write_text(HEAD + f"kerf: {most}\nslack: 32 ft 9 5/8 in\n")
    assert load_parts(folder / "parts.yaml", house).kerf_m <= 0.02


def test_a_price_below_nothing(folder, house):
    (found,) = problems(folder, HEAD + "fuse: {price: -1}\n", house)
    assert found.startswith("3:15: ")
    assert "at least 0" in found


def test_every_problem_at_once(folder, house):
    found = problems(
        folder, HEAD + "kinds: {ws2812: {reel: 5 m}, ws2813: {nodes: 5}}\nkerf: 1\n", house
    )
    assert [line.split(":")[0] for line in found] == ["3", "3", "4"]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("- a\n", "expected keys and values"),
        ("format: evenfall-prices/1\ncurrency: EUR\nkinds: {}\n", "evenfall-parts/1"),
    ],
)
def test_no_parts_at_all(folder, house, text, words):
    assert words in problems(folder, text, house)[0]


def test_every_row_that_is_built_in_has_a_source_and_no_price():
    data = read(Path(sim.parts.__file__).with_name("builtin.yaml")).data
    rows = [
        *data["kinds"].values(),
        *data["profiles"].values(),
        *data["wire"],
        *data["connectors"].values(),
        *data["enclosures"],
        data["fuse"],
        data["fuse_holder"],
        data["work"],
    ]
    assert all(row["source"] for row in rows)
    assert not any({"price", "per_metre", "hourly", "cover", "clip"} & row.keys() for row in rows)


def test_without_a_file_the_built_in_quantities_count(house, folder):
    (folder / "parts.yaml").unlink()
    assert parts_beside(house).file == ""
    assert parts_beside(house).any_strip.reel_m == 5


def test_the_schema_names_the_keys():
    schema = parts_schema()
    assert set(schema["properties"]) >= {"format", "currency", "supplies", "wire", "kinds", "work"}
    assert schema["additionalProperties"] is False
    assert schema["properties"]["format"]["const"] == "evenfall-parts/1"


def test_the_public_names():
    assert all(hasattr(sim.parts, name) for name in sim.parts.__all__)
