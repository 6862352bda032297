"""`evenfall plan` from the user's side: the screen, the data, the file written, the refusals."""

import json
import re
from pathlib import Path

import pytest

from layouts import load_house
from sim.plan import plan as planner

DEMO = Path(__file__).resolve().parents[2] / "demo"
HOUSE = """\
# my shed
format: evenfall-house/1
name: Shed   # nobody's
units: m
drawing: {size: [8, 4], viewer: 8}   # no walls yet
runs:
  - {name: eave, pixels: ws2812b, path: [[1, 3.2], [3.5, 3.2]]}   # the long one
  - {name: door, pixels: ws2812b, path: [[5, 2.2], [6, 2.2]], aim: "up"}
places:
  # by the socket
  - {name: socket, at: [4, 1.5], mains: true, sheltered: true}
outputs:
  - {name: A, chain: [eave, door]}
# the end
"""
PARTS = """\
format: evenfall-parts/1
currency: EUR
note: invented
supplies:
  - {part: small, volts: 5, amps: 8, efficiency: 0.8, no_load_w: 0.3, price: 15, sheltered: true}
  - {part: large, volts: 5, amps: 20, efficiency: 0.9, no_load_w: 0.6, price: 30, sheltered: true}
wire:
  - {wire: 18 AWG, per_metre: 0.3}
  - {wire: 14 AWG, per_metre: 0.7}
fuse: {price: 0.4}
fuse_holder: {price: 2}
connectors: {feed_plug: {price: 1.5}, junction: {price: 0.7}}
enclosures: [{part: box, supplies: 1, price: 10}]
work: {hourly: 30}
"""
SCHEME = """\
format: evenfall-scheme/1
name: Dim
brightness: 0.3
layers:
  - {zones: [eave, door], effect: chase, palette: ["#ff8000", "#00ff40"], set: {speed: 0.4}}
"""
WIRED = """\
supplies:
  - {name: old, volts: 5, amps: 10, at: [4.5, 1.5]}
wires:
  - {from: old, to: "eave[75]", wire: 14 AWG, length: 3, fuse: 7.5}
"""


@pytest.fixture
def shed(tmp_path):
    """The house file of an unwired shed, its parts beside it."""
    path = tmp_path / "house.yaml"
    path.write_text(HOUSE, encoding="utf-8")
    (tmp_path / "parts.yaml").write_text(PARTS, encoding="utf-8")
    (tmp_path / "dim.scheme.yaml").write_text(SCHEME, encoding="utf-8")
    return path


def levels(run, house, *schemes):
    """The findings of `check` above a note."""
    data = json.loads(run("check", house, *schemes, "--json").stdout)
    told = [*data["findings"], *(f for s in data["schemes"] for f in s["findings"])]
    return [found for found in told if found["level"] != "note"]


def test_the_screen(run, shed):
    result = run("plan", shed)
    assert result.exit_code == 0, result.stderr
    for words in (
        "Plan for Shed", "every channel full at brightness 100 %", "at most 10 %", "invented",
        "Supplies", "socket", "Feeds", "Why", "Price", "EUR", "licensed electrician",
        "the least possible", "Findings of the planned house",
    ):  # fmt: skip
        assert words in result.stdout, words
    assert max(map(len, result.stdout.splitlines())) <= 80
    assert shed.read_text() == HOUSE


def test_pure_json(run, shed):
    data = json.loads(run("plan", shed, "--json").stdout)
    assert list(data)[:13] == [
        "house", "status", "price", "lower_bound", "currency", "kind", "supplies", "wires", "cuts",
        "feeds", "findings", "why", "options",
    ]  # fmt: skip
    assert {"name", "part", "at", "volts", "amps", "load"} <= set(data["supplies"][0])
    assert {"from", "to", "wire", "length_m", "fuse_a", "price"} <= set(data["wires"][0])
    assert (data["house"], data["currency"], data["kind"]) == ("Shed", "EUR", "ws2812b")
    assert (data["status"] == "optimal") == (data["price"] < 1.005 * data["lower_bound"])
    assert data["lower_bound"] <= data["price"]
    assert data["feeds"] == sum(wire["kind"] in ("feed", "tap") for wire in data["wires"])
    # Every wire, supply and cut has its share; wires are bought in whole millimetres.
    cuts = len(data["cuts"]) * 10 / 60 * 30
    total = sum(each["price"] for each in (*data["wires"], *data["supplies"])) + cuts
    assert data["price"] <= total < data["price"] + 0.002 * len(data["wires"])
    assert all(supply["load"] <= 0.8 for supply in data["supplies"])
    elements = {each["element"] for each in data["why"]}
    assert {f"{w['from']} → {w['to']}" for w in data["wires"] if w["kind"] == "feed"} <= elements


def test_written_into_the_house(run, shed):
    result = run("plan", shed, "--write", "--json")
    assert result.exit_code == 0, result.stderr
    data = json.loads(result.stdout)
    text = shed.read_text()
    # All that stood there stands there, in its order; only cuts may have changed a line.
    lines = iter(re.sub(r", cuts: \[[^]]*\]", "", text).splitlines())
    assert all(line in lines for line in HOUSE.splitlines())
    assert (shed.parent / ".house.yaml.bak").read_text() == HOUSE
    house = load_house(shed)
    assert [(w.start.text, w.end.text, w.size.name, w.fuse_a) for w in house.wires] == [
        (w["from"], w["to"], w["wire"], w["fuse_a"]) for w in data["wires"]
    ]
    assert [w.length_m for w in house.wires] == pytest.approx(
        [w["length_m"] for w in data["wires"]], abs=1e-9
    )
    part = {"small": (0.8, 0.3), "large": (0.9, 0.6)}[data["supplies"][0]["part"]]
    assert (house.supplies[0].efficiency, house.supplies[0].no_load_w) == part
    assert house.supplies[0].at == "socket"
    assert "  - {from: socket, to: " in text
    assert levels(run, shed) == []


def test_a_new_house_file(run, shed, tmp_path):
    out = tmp_path / "wired.yaml"
    assert run("plan", shed, "--out", out).exit_code == 0
    assert shed.read_text() == HOUSE
    assert not (tmp_path / ".house.yaml.bak").exists()
    assert load_house(out).wires


def test_in_feet_and_inches(run, shed):
    """1/16 in is 1.5875 mm: the inch is 25.4 mm (international yard and pound agreement, 1959)."""
    shed.write_text(
        HOUSE.replace("units: m", "units: ft")
        .replace("[8, 4], viewer: 8", "[26, 13], viewer: 26")
        .replace("[[1, 3.2], [3.5, 3.2]]", "[[3, 10], [11, 10]]")
        .replace("[[5, 2.2], [6, 2.2]]", "[[16, 7], [19, 7]]")
        .replace("[4, 1.5]", "[13, 5]")
    )
    result = run("plan", shed, "--write")
    assert result.exit_code == 0, result.stderr
    lengths = re.findall(r"length: ([^,}]*)", shed.read_text())
    assert lengths
    assert all(
        re.fullmatch(r"(\d+ ft)? ?(\d+)? ?(\d+/(2|4|8|16))?( in)?", each) for each in lengths
    )
    for wire in load_house(shed).wires:
        assert wire.length_m / 0.0015875 == pytest.approx(
            round(wire.length_m / 0.0015875), abs=1e-6
        )
    assert levels(run, shed) == []


def test_what_is_wired_stays(run, shed):
    shed.write_text(HOUSE + WIRED)
    full = run("plan", shed, "--write")
    assert (full.exit_code, shed.read_text()) == (2, HOUSE + WIRED)
    assert "what is wired already goes beyond the voltage along run eave" in full.stderr
    data = json.loads(run("plan", shed, "--brightness", "30%", "--write", "--json").stdout)
    assert all(wire["to"].startswith("door") for wire in data["wires"])
    text = shed.read_text()
    assert WIRED.splitlines()[1] in text
    assert WIRED.splitlines()[3] in text
    assert len(load_house(shed).wires) == 1 + len(data["wires"])


def test_anew_throws_it_away(run, shed):
    shed.write_text(HOUSE.replace("]]}   #", "]], cuts: [40]}   #") + WIRED)
    data = json.loads(run("plan", shed, "--anew", "--write", "--json").stdout)
    house = load_house(shed)
    assert "old" not in {supply.name for supply in house.supplies}
    assert len(house.wires) == len(data["wires"])
    assert [(run.name, cut) for run in house.runs for cut in run.cuts] == [
        (cut["run"], cut["before"]) for cut in data["cuts"]
    ]
    again = run("plan", shed)
    assert again.exit_code == 2
    assert "every run is fed already; --anew" in again.stderr


def test_for_a_scheme(run, shed, tmp_path):
    """What a dim scheme needs is cheaper than every channel full, and is enough for it."""
    scheme = tmp_path / "dim.scheme.yaml"
    for_full = json.loads(run("plan", shed, scheme, "--for", "full", "--json").stdout)
    result = run("plan", shed, scheme, "--write")
    assert result.exit_code == 0, result.stderr
    assert "for Dim, " in result.stdout
    assert "frames watched" in result.stdout
    price = float(re.search(r"([\d.]+) EUR for supplies", result.stdout)[1])
    assert price < for_full["price"]
    assert levels(run, shed, scheme) == []


def test_cold_and_hot(run, shed):
    data = json.loads(run("plan", shed, "--between", -20, 60, "--json").stdout)
    cold, hot = data["temperatures"]
    assert (cold["copper_c"], hot["copper_c"]) == (-20, 60)
    assert cold["least_v"] > hot["least_v"]  # copper gains 0.39 % a kelvin (IEC 60028)
    assert max(cold["most"], hot["most"]) <= 1 + 1e-9
    usual = json.loads(run("plan", shed, "--json").stdout)
    assert data["price"] >= usual["price"] - 1e-9


def test_without_a_parts_file(run, shed):
    (shed.parent / "parts.yaml").unlink()
    result = run("plan", shed)
    assert result.exit_code == 0
    assert "no parts file: usual sizes at stand-in prices" in result.stdout
    assert "of no currency" in result.stdout
    assert json.loads(run("plan", shed, "--json").stdout)["currency"] is None


def test_never_over_a_newer_edit(run, shed, monkeypatch):
    """Somebody saves the house while it is planned: theirs stays, nothing is written."""
    usual = planner.plan_house
    newer = HOUSE.replace("nobody's", "mine")

    def meanwhile(*given):
        shed.write_text(newer)
        return usual(*given)

    monkeypatch.setattr(planner, "plan_house", meanwhile)
    result = run("plan", shed, "--write")
    assert result.exit_code == 2
    assert "changed by somebody else since it was read; nothing was written" in result.stderr
    assert shed.read_text() == newer


def test_interrupted(run, shed, monkeypatch):
    def stopped(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(planner, "plan_house", stopped)
    result = run("plan", shed, "--write")
    assert (result.exit_code, result.stdout, result.stderr) == (130, "", "stopped\n")
    assert shed.read_text() == HOUSE


def test_interrupted_inside_compiled_code(run, shed, monkeypatch):
    """Compiled code hands a Ctrl-C on as a SystemError that it caused."""

    def stopped(*_):
        raise SystemError("returned a result with an exception set") from KeyboardInterrupt()

    monkeypatch.setattr(planner, "plan_house", stopped)
    result = run("plan", shed, "--write")
    assert (result.exit_code, result.stdout, result.stderr) == (130, "", "stopped\n")


REFUSED = [
    (("mains: true", "mains: false"), None, (), "none of the house's places has mains"),
    (None, ("volts: 5,", "volts: 12,"), (), "the parts file has no supply of 5 V"),
    (None, ("price: 15", "price: -15"), (), "-15 is out of range"),
    (None, ("fuse_holder", "fuse_holdr"), (), "did you mean 'fuse_holder'?"),
    (None, ("14 AWG", "14 WAG"), (), "is not a wire size"),
    (('aim: "up"', "cuts: [60]"), None, (), "a cut at 60 is not between two pixels"),
    (None, None, ("--drop", "20%"), "beyond that 'check' warns"),
    (None, None, ("--between", "35", "-20"), "write the coldest first"),
    (None, None, ("--for", "schemes"), "name one, or write --for full"),
    (None, None, ("--brightness", "0"), "lights nothing"),
    (None, None, ("--parts", "none.yaml"), "there is no such file"),
    (None, None, ("--out", "plan.txt"), "end the name in .yaml, .yml or .png"),
    (("at: [4, 1.5]", "at: [900, 1.5]"), None, (), "every wire is too thin or every place too far"),
    (("at: [4, 1.5]", "at: [400, 1.5]"), None, (), "about 15 % is lost from the nearest place"),
]


@pytest.mark.parametrize(("house", "parts", "flags", "words"), REFUSED)
def test_refusals_are_one_line_and_write_nothing(run, shed, house, parts, flags, words):
    text = HOUSE.replace(*house) if house else HOUSE
    shed.write_text(text)
    if parts:
        (shed.parent / "parts.yaml").write_text(PARTS.replace(*parts))
    before = sorted(shed.parent.iterdir())
    result = run("plan", shed, "--write", *flags)
    assert result.exit_code == 2
    assert words in result.stderr
    assert len(result.stderr.splitlines()) == 1
    assert result.stdout == ""
    assert shed.read_text() == text
    assert sorted(shed.parent.iterdir()) == before


def test_a_house_without_runs(run, shed):
    shed.write_text(re.sub(r"runs:\n.*\n.*\n", "runs: []\n", HOUSE).split("outputs:")[0])
    result = run("plan", shed)
    assert (result.exit_code, len(result.stderr.splitlines())) == (2, 1)
    assert "there are no runs; add one" in result.stderr


def test_infeasible_as_data(run, shed):
    shed.write_text(HOUSE.replace("at: [4, 1.5]", "at: [900, 1.5]"))
    result = run("plan", shed, "--json")
    data = json.loads(result.stdout)
    assert (result.exit_code, data["status"], data["price"]) == (2, "infeasible", None)
    assert data["why"][0]["text"] in result.stderr


def test_the_unwired_demo_house(run, tmp_path):
    """From a house of six runs and nothing wired to one that `check` has nothing to say of."""
    house = tmp_path / "house.yaml"
    for name in ("house.yaml", "parts.yaml"):
        (tmp_path / name).write_bytes((DEMO / "unwired" / name).read_bytes())
    assert len(load_house(house).runs) == 6
    assert not load_house(house).wires
    assert run("plan", house, "--write").exit_code == 0
    assert levels(run, house) == []
    assert {w.end.name for w in load_house(house).wires if w.end.kind == "run"} == {
        run.name for run in load_house(house).runs
    }


@pytest.mark.parametrize("behind", [[], ["--json"]])
def test_kinds_without_a_kind_are_refused(run, tmp_path, behind):
    """Never taken as a plan of one kind."""
    (tmp_path / "house.yaml").write_text(HOUSE, encoding="utf-8")
    done = run("plan", tmp_path / "house.yaml", "--kinds", *behind)
    assert done.exit_code == 2
    said = " ".join(done.stderr.replace("│", " ").split())
    assert "--kinds names no kind; write one or more behind it" in said
