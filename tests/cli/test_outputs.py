"""No verb writes over what it reads, under whatever name, or under an ending that does not fit."""

import os

import pytest

#: Every verb that writes: what comes before the output's name, what it ends in, what it may read.
VERBS = {
    "power": (("power", "HOUSE", "SCHEME", "--csv"), ".csv"),
    "render": (("render", "HOUSE", "SCHEME", "--out"), ".png"),
    "sheet": (("render", "HOUSE", "--sheet", "--out"), ".png"),
    "film": (("render", "HOUSE", "SCHEME", "--seconds", "1", "--out"), ".gif"),
    "compare": (("compare", "HOUSE", "SCHEME", "--kinds", "ws2812b", "ws2813", "--out"), ".png"),
    "season": (("season", "HOUSE", "SEASON", "--out"), ".html"),
    "patch": (("patch", "HOUSE", "--csv"), ".csv"),
    "frames": (("frames", "HOUSE", "SCHEME", "--out"), ".pcap"),
    "listen": (("listen", "HOUSE", "--text", "--seconds", "0.1", "--capture"), ".pcap"),
    "handover": (("handover", "HOUSE", "SCHEME", "--out"), ".html"),
}
SEASON = """\
format: evenfall-season/1
otherwise: test.scheme.yaml
location: {latitude: 44.9, longitude: -93.2, timezone: America/Chicago}
nights: []
"""


@pytest.fixture
def call(run, house, scheme):
    """call(verb, output) -> the result; the files lie in the house's folder."""
    season = house.parent / "year.season.yaml"
    season.write_text(SEASON, encoding="utf-8")
    named = {"HOUSE": house, "SCHEME": scheme, "SEASON": season}

    def called(verb, output):
        before, _ = VERBS[verb]
        return run(*(named.get(word, word) for word in before), output)

    return called


def everything(folder):
    return {path.name: path.read_bytes() for path in folder.iterdir() if path.is_file()}


def refused(result, said):
    assert result.exit_code == 2
    assert result.stdout == ""
    (line,) = result.stderr.strip().splitlines()
    assert said in line


@pytest.mark.parametrize("verb", VERBS)
@pytest.mark.parametrize("output", ["house.yaml", "test.scheme.yaml", "year.season.yaml", "plain"])
def test_an_ending_that_does_not_fit(call, house, verb, output):
    house.parent.joinpath("plain").write_text("mine")
    before = everything(house.parent)
    refused(call(verb, house.parent / output), "; end the name in .")
    assert everything(house.parent) == before


@pytest.mark.parametrize("verb", VERBS)
@pytest.mark.parametrize("way", ["symlink", "hard link", "link to a link"])
@pytest.mark.parametrize("name", ["house.yaml", "test.scheme.yaml"])
def test_an_input_under_another_name(call, house, verb, way, name):
    link = house.parent / f"out{VERBS[verb][1]}"
    if way == "hard link":
        os.link(house.parent / name, link)
    elif way == "symlink":
        link.symlink_to(name)
    else:
        between = house.parent / "between"
        between.symlink_to(name)
        link.symlink_to("between")
    before = everything(house.parent)
    refused(call(verb, link), "cannot be written: this call reads it; name another file")
    assert everything(house.parent) == before


@pytest.mark.parametrize(("verb", "ending"), [(verb, VERBS[verb][1]) for verb in VERBS])
def test_an_input_by_a_relative_path_or_another_case(
    run, call, house, verb, ending, tmp_path, monkeypatch
):
    # a house file may be called anything, so also as the verb's output would be
    odd = house.rename(house.with_name(f"house{ending}"))
    monkeypatch.chdir(tmp_path)
    before = everything(tmp_path)
    arguments = [odd if word == "HOUSE" else word for word in VERBS[verb][0]]
    names = {"SCHEME": tmp_path / "test.scheme.yaml", "SEASON": tmp_path / "year.season.yaml"}
    arguments = [names.get(word, word) for word in arguments]
    for output in (f"house{ending}", f"../{tmp_path.name}/./house{ending}", f"HOUSE{ending}"):
        refused(run(*arguments, output), "this call reads it")
    assert everything(tmp_path) == before


def test_the_photograph_is_an_input_too(call, house):
    from PIL import Image

    Image.new("RGB", (40, 30), "grey").save(house.parent / "wall.png")
    text = house.read_text(encoding="utf-8")
    photo = "  photo: {file: wall.png, corners: [[0, 0], [6, 0], [6, 4], [0, 4]]}\n"
    house.write_text(text.replace("  viewer: 8\n", "  viewer: 8\n" + photo), encoding="utf-8")
    before = everything(house.parent)
    for verb in ("render", "sheet", "compare"):
        refused(call(verb, house.parent / "wall.png"), "this call reads it")
    assert everything(house.parent) == before


def test_the_demo_writes_over_no_demo_house(run, tmp_path, monkeypatch):
    from sim.cli import demo

    folder = tmp_path / "cottage"
    folder.mkdir()
    house = folder / "house.yaml"
    house.write_text("a house")
    (folder / "christmas.scheme.yaml").write_text("a scheme")
    monkeypatch.setattr(demo, "demo_houses", lambda: (house,))
    (tmp_path / "cottage-christmas.png").symlink_to(house)
    refused(run("demo", "--out", tmp_path), "this call reads it")
    assert house.read_text() == "a house"


def test_a_list_is_a_picture(run, tmp_path):
    house = tmp_path / "house.yaml"
    house.write_text("mine")
    refused(run("list", "palettes", "--out", house), "end the name in .png")
    assert house.read_text() == "mine"


def test_what_may_be_written_is_written(call, house):
    out = house.parent / "Totals.CSV"
    result = call("power", out)
    assert result.exit_code == 0, result.stderr
    assert out.read_text().startswith("time_s,")
    assert call("power", out).exit_code == 0, "an output may be written again"


def test_a_pipe_or_device_needs_no_ending(call):
    assert call("power", "/dev/null").exit_code == 0
    refused(call("season", "/dev/null"), "end the name in .html or .ics")
