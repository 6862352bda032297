"""Scheme files: what is read, and every refusal with its place."""

from __future__ import annotations

import json

import pytest
from PIL import ImageColor

from effects import effects, load_scheme, scheme_schema
from layouts.errors import InputError

HEAD = "format: evenfall-scheme/1\nname: Test\n"


@pytest.fixture
def load(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)

    def read(text: str, house=None):
        (tmp_path / "a.yaml").write_text(text)
        return load_scheme("a.yaml", house)

    return read


@pytest.fixture
def refusals(load):
    def read(text: str, house=None) -> list[str]:
        with pytest.raises(InputError) as refused:
            load(text, house)
        return [str(problem) for problem in refused.value.problems]

    return read


def test_everything_has_its_default(load):
    scheme = load(HEAD + "layers: [{effect: steady, palette: porch}]\n")
    assert (scheme.name, scheme.brightness, scheme.colour) == ("Test", 1.0, "matched")
    assert (scheme.white, scheme.gamma, scheme.fps, scheme.dither) == ("most", 2.2, 40.0, False)
    (layer,) = scheme.layers
    assert layer.zones == ("all",)
    assert layer.palette == "porch"
    assert (layer.blend, layer.opacity, layer.direction) == ("over", 1.0, "forward")
    assert layer.settings == {"band": 1.0, "soft": 0.0}


def test_everything_said(load, wall):
    text = HEAD + (
        "brightness: 0.5\ncolour: raw\nwhite: 0.25\ngamma: 2.6\nfps: 25\nseconds: 90\ndither: on\n"
        "layers:\n"
        "  - zones: [rake-left, rake-right backward]\n"
        "    effect: chase\n"
        '    palette: ["#ff0000", oklch(0.7 0.1 200), 3000 K]\n'
        "    set: {band: 40 cm, gap: 1 ft, speed: 6 in/s, soft: 50 %, direction: inward, seed: 7}\n"
        "    blend: add\n    opacity: 0.5\n    from: 80\n    until: 10\n    ease: 2.5\n"
        "  - {effect: glint, palette: frost, set: {rate: 0.05 /s, length: 400 ms}}\n"
    )
    scheme = load(text, wall)
    assert (scheme.white, scheme.seconds, scheme.dither) == (0.25, 90, True)
    first, second = scheme.layers
    assert first.palette == ("#ff0000", "oklch(0.7 0.1 200)", "3000 K")
    assert first.settings == pytest.approx(
        {"band": 0.4, "gap": 0.3048, "speed": 0.1524, "soft": 0.5}
    )
    assert (first.direction, first.seed, first.from_s, first.until_s) == ("inward", 7, 80, 10)
    assert second.settings == pytest.approx({"rate": 3, "length": 0.4})
    assert second.seed == 1  # the layer's number, where none is given


@pytest.mark.parametrize("word", ["off", "most", "economy", "common"])
def test_white_words(load, word):
    assert load(HEAD + f"white: {word}\nlayers: [{{effect: fade, palette: porch}}]\n").white == word


LAYER = HEAD + "layers:\n  - "


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            LAYER + "{effect: chace, palette: porch}",
            "4:14: unknown effect 'chace'; did you mean 'chase'?",
        ),
        (
            LAYER + "{effect: fade, palette: porsch}",
            "4:29: unknown palette 'porsch'; did you mean 'porch'?",
        ),
        (
            LAYER + "{effect: fade, palette: porch, set: {hould: 3}}",
            "4:42: fade has no parameter 'hould'; did you mean 'hold'?",
        ),
        (
            LAYER + "{effect: chase, palette: porch, set: {speed: 30}}",
            "4:50: speed: 30 is outside -10..10 m/s",
        ),
        (
            LAYER + "{effect: chase, palette: porch, set: {speed: 3 furlongs}}",
            "4:50: speed: '3 furlongs' is not a number; write it like '2 m/s' or 2",
        ),
        (
            LAYER + "{effect: picket, palette: porch, set: {every: 2.5}}",
            "4:51: every: 2.5 is not a whole number",
        ),
        (
            LAYER + "{effect: fade, palette: porch, set: {direction: up}}",
            "4:53: direction: 'up' is not one of forward | backward | inward | outward",
        ),
        (
            LAYER + "{effect: fade, palette: porch, set: {seed: -1}}",
            "4:48: seed: -1 is not a whole number 0..2147483647",
        ),
        (
            LAYER + "{effect: fade, palette: porch, set: {hold: [1]}}",
            "4:48: hold: [1] is not a number",
        ),
        (LAYER + "{effect: fade, palette: [30 K]}", "4:30: 30 K is outside 1000 K..20000 K"),
        (
            LAYER + "{effect: fade, palette: ['#12']}",
            '4:30: \'#12\' is not a colour; write "#rrggbb", "oklch(L C h)" or "3000 K"',
        ),
        (
            LAYER + "{effect: fade, palette: [frost, '#121212']}",
            "4:30: 'frost' is a palette among colours; name it alone",
        ),
        (
            LAYER + "{zones: [eave, gabel], effect: fade, palette: porch}",
            "4:20: no zone 'gabel' in {house}; did you mean 'gable'?",
        ),
        (
            LAYER + '{zones: ["eave[0:50]"], effect: fade, palette: porch}',
            "4:14: no zone 'eave[0:50]' in {house}; make a zone of it in the house file, and name"
            " that",
        ),
        (
            LAYER + "{effect: fade, palete: porch}",
            "4:20: unknown key 'palete'; did you mean 'palette'?",
        ),
        (
            LAYER + "{effect: fade, palette: porch, opacity: 2}",
            "4:45: 2 is out of range; write at least 0 and at most 1",
        ),
        (
            LAYER + "{effect: fade, palette: porch, from: -1}",
            "4:42: -1 is out of range; write at least 0 and at most 86400",
        ),
        (
            LAYER + "{effect: fade, palette: porch, blend: soft}",
            "4:43: 'soft' is not one of the choices; there are: over, add, lighten, multiply",
        ),
        (HEAD + "layers: []\n", "3:9: a list of 0, where at least 1 belong; add some"),
        (
            "format: evenfall-scheme/2\n",
            "1:9: this is a file of format 'evenfall-scheme/2'; expected 'evenfall-scheme/1'",
        ),
    ],
    ids=lambda _: "",  # the folder is named after it, and long names are cut in messages
)
def test_refusals(refusals, wall, text, says):
    assert "a.yaml:" + says.replace("{house}", wall.file) in refusals(text, wall)


HASH = '# starts a comment; write "#ff0000" in quotes'
BLOCK = HEAD + "layers:\n  - effect: chase\n    palette:"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        # colours without quotes
        (BLOCK + ' ["2400 K", #ff0000]\n    blend: add\n', f"5:25: {HASH}"),
        (BLOCK + " [#ff0000]\n", f"5:15: {HASH}"),
        (BLOCK + "\n      - #ff0000\n", f"6:8: expected text, found nothing; {HASH}"),
        (BLOCK + " #ff0000\n", f"5:13: expected text or a list, found nothing; {HASH}"),
        (BLOCK + ' ["2400 K", #ff0000,\n      "3000 K"]\n', f"5:25: {HASH}"),
        (LAYER + '{effect: chase, palette: ["2400 K", #ff0000], blend: add}\n', f"4:41: {HASH}"),
        # whites without a unit
        (
            BLOCK + " [2700]\n",
            '5:15: 2700 is no colour; a white is written "2700 K" in quotes',
        ),
        (
            BLOCK + " 2700\n",
            '5:14: 2700 is no colour; a white is written "2700 K" in quotes',
        ),
        (BLOCK + " [5]\n", "5:15: expected text, found 5; put it in quotes"),
        # parameters in the wrong place, of the wrong unit
        (
            LAYER + "{effect: chase, palette: porch, band: 2 ft}",
            "4:37: 'band' is a parameter of chase; write set: {band: 2 ft}",
        ),
        (
            LAYER + "{effect: chase, palette: porch, direction: backward}",
            "4:37: 'direction' is a parameter of chase; write set: {direction: backward}",
        ),
        (
            LAYER + "{effect: chase, palette: porch, set: {speed: 1 ft}}",
            "4:50: speed: '1 ft' is a length, not a speed; write '1 ft/s'",
        ),
        (
            LAYER + '{effect: chase, palette: porch, set: {soft: "0,5"}}',
            "4:49: soft: '0,5' is not a number; write a decimal point: 0.5",
        ),
        (
            LAYER + "{effect: chase, palette: porch, opacity: 50 A}",
            "4:46: expected a number, found '50 A'; write the number alone",
        ),
    ],
)
def test_a_slip_is_answered_by_one_line(refusals, text, says):
    assert refusals(text) == ["a.yaml:" + says]


def test_a_comment_may_name_a_colour(load):
    text = BLOCK + ' ["2400 K",  # then #ff0000\n      "3000 K"]  #ff0000\n'
    assert load(text).layers[0].palette == ("2400 K", "3000 K")


def test_all_problems_at_once_in_reading_order(refusals):
    text = HEAD + (
        "brightness: 3\n"
        "layers:\n"
        "  - {effect: chace, palette: nowhere}\n"
        "  - {effect: wick, palette: porch, set: {size: 99, flikker: 1}}\n"
        "  - {effect: 3, palette: {}}\n"
        "  - nothing\n"
    )
    lines = [tuple(map(int, line.split(":")[1:3])) for line in refusals(text)]
    assert len(lines) == 8
    assert lines == sorted(lines)


@pytest.mark.parametrize("text", ["", "[1, 2]", "layers: 3", "layers: {a: 1}", "a: [", "\0"])
def test_never_another_error(refusals, text):
    assert refusals(text)


def test_a_missing_file_and_a_folder(tmp_path):
    for path, says in ((tmp_path / "no.yaml", "there is no such file"), (tmp_path, "a folder")):
        with pytest.raises(InputError, match=says):
            load_scheme(path)


def test_schema_completes_keys_effects_and_parameters():
    schema = scheme_schema()
    json.dumps(schema)
    assert {"format", "name", "layers", "brightness", "white", "seconds"} <= set(
        schema["properties"]
    )
    layer = schema["$defs"]["LayerFile"]
    keys = layer["properties"]
    assert {"zones", "effect", "palette", "set", "from", "until", "ease", "blend"} <= set(keys)
    # One text stands for a list of one.
    assert {option["type"] for option in keys["zones"]["anyOf"]} == {"array", "string"}
    assert set(keys["effect"]["enum"]) == set(effects())
    of = {rule["if"]["properties"]["effect"]["const"]: rule["then"] for rule in layer["allOf"]}
    chase = of["chase"]["properties"]["set"]["properties"]
    assert set(chase) == {"band", "gap", "speed", "soft", "direction", "seed"}
    assert chase["speed"]["anyOf"][0] == {"type": "number", "minimum": -10, "maximum": 10}
    assert chase["speed"]["description"].startswith("m/s")


@pytest.mark.parametrize("drawn", [False, True], ids=["", "drawn with before"])
@pytest.mark.parametrize(
    ("palette", "what"),
    [
        # W3C CSS Color Module Level 4, named colours: red #ff0000, orange #ffa500
        ("red", "'red' is no palette; a colour is written in quotes: \"#ff0000\", "),
        ("[Red]", "'Red' is no palette; a colour is written in quotes: \"#ff0000\", "),
        ('["#00ff00", orange]', "'orange' is no colour here; a colour is written in quotes:"
         ' "#ffa500", '),
    ],
)  # fmt: skip
def test_a_colour_word_is_told_how_colours_are_written(refusals, palette, what, drawn):
    if drawn:  # Pillow then remembers the numbers of a name in the place of its text
        for name in ("red", "orange"):
            ImageColor.getrgb(name)
    (line,) = refusals(HEAD + f"layers: [{{effect: steady, palette: {palette}}}]\n")
    assert what + '"oklch(L C h)" or a white "3000 K"' in line


def test_shares_and_times_carry_units(load):
    scheme = load(
        HEAD + "brightness: 60 %\nfps: 25 fps\nseconds: 2 min\n"
        "layers: [{effect: steady, palette: porch, opacity: 40%, from: 500 ms, until: 90 s}]\n"
    )
    (layer,) = scheme.layers
    assert (scheme.brightness, scheme.fps, scheme.seconds) == (0.6, 25, 120)
    assert (layer.opacity, layer.from_s, layer.until_s) == (0.4, 0.5, 90)
