"""What cannot be written is told by every verb that writes, in one line with its place, status 2;
nothing half written stays, and what was there before is as it was."""

import os
import resource
import shutil
import socket
import tempfile
from contextlib import contextmanager
from pathlib import Path

import pytest
from PIL import Image

from sim.report.plan_sweep import _appending

#: A house with all that a verb may ask of one: small, for every verb works it through.
HOUSE = """\
format: evenfall-house/1
name: Shed
units: m
drawing: {size: [4, 3], viewer: 6}
runs:
  - {name: eave, pixels: ws2812b, path: [[1, 2], [2, 2]], count: 9}
places:
  - {name: socket, at: [2, 1], mains: true, sheltered: true}
supplies:
  - {name: box, volts: 5, amps: 4, efficiency: 0.85, no_load_w: 0.5, source_ohm: 0.005, at: socket}
wires:
  - {from: box, to: eave.start, wire: 18 AWG, length: 1, fuse: 2}
outputs:
  - {name: A, chain: [eave], universe: 1}
"""
FILES = {
    "house.yaml": HOUSE,
    "bare.yaml": HOUSE[: HOUSE.index("supplies:")],
    "a.scheme.yaml": """\
format: evenfall-scheme/1
name: Warm
layers:
  - {zones: [all], effect: steady, palette: ["#ff8000"]}
""",
    "a.season.yaml": """\
format: evenfall-season/1
otherwise: a.scheme.yaml
location: {latitude: 44.9, longitude: -93.2, timezone: America/Chicago, country: US}
nights: []
""",
    "faults.yaml": "format: evenfall-faults/1\nfaults:\n  - {dead: 'eave[3]'}\n",
    "seen.yaml": "format: evenfall-sightings/1\nseen:\n  - {dark: 'eave[3:9]'}\n",
    "meter.yaml": """\
format: evenfall-readings/1
readings:
  - {lit: off, watts: 0.9}
  - {lit: all, watts: 2.9}
""",
    "roof.svg": """\
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 100 60">
<path id="run-eave" d="M 10 10 H 90" fill="none" stroke="black"/></svg>
""",
}
#: Every verb that writes a file of that name: what is called, OUT for the file.
OUTPUTS = {
    "power.csv": "power house.yaml a.scheme.yaml --csv OUT",
    "capture.csv": "power house.yaml --capture a.pcap --csv OUT",
    "picture.png": "render house.yaml a.scheme.yaml --size 32x24 --out OUT",
    "years.png": "render house.yaml a.scheme.yaml --size 32x24 --age 5 --out OUT",
    "sheet.png": "render house.yaml --sheet --size 32x24 --out OUT",
    "film.gif": "render house.yaml a.scheme.yaml --size 32x24 --seconds 0.2 --out OUT",
    "film.webp": "render house.yaml a.scheme.yaml --size 32x24 --seconds 0.2 --out OUT",
    "film.mp4": "render house.yaml a.scheme.yaml --size 32x24 --seconds 0.2 --out OUT",
    "kinds.png": "compare house.yaml a.scheme.yaml --kinds ws2812b ws2813 --size 64x48 --out OUT",
    "fault.png": "fault house.yaml a.scheme.yaml faults.yaml --size 64x48 --out OUT",
    "causes.png": "diagnose house.yaml seen.yaml --size 64x48 --out OUT",
    "season.html": "season house.yaml a.season.yaml --year 2026 --out OUT",
    "season.ics": "season house.yaml a.season.yaml --year 2026 --out OUT",
    "patch.csv": "patch house.yaml --csv OUT",
    "frames.npz": "frames house.yaml a.scheme.yaml --seconds 0.2 --out OUT",
    "frames.csv": "frames house.yaml a.scheme.yaml --seconds 0.2 --out OUT",
    "frames.pcap": "frames house.yaml a.scheme.yaml --seconds 0.2 --out OUT",
    "parts.csv": "parts house.yaml --csv OUT",
    "plan.yaml": "plan bare.yaml --out OUT",
    "plan.png": "plan bare.yaml --out OUT",
    "options.png": "plan bare.yaml --kinds ws2812b --out OUT",
    "given.html": "handover house.yaml --out OUT",
    "heard.pcap": "listen house.yaml --at 127.0.0.1 --port PORT --text --seconds 0.1 --capture OUT",
    "palettes.png": "list palettes --out OUT",
}
#: Those that work long before they write: told in other tests, or the same way as their neighbours.
SAME_WAY = {"sheet.png", "years.png", "kinds.png", "plan.png", "options.png", "given.html"}
#: Every verb that changes the house file.
CHANGES = {
    "repair": ("house.yaml", "repair house.yaml --cut-out eave[0] --write"),
    "meter": ("house.yaml", "meter house.yaml meter.yaml --write"),
    "plan": ("bare.yaml", "plan bare.yaml --write"),
}
CORNERS = ("0,0=0m,6m", "39,0=8m,6m", "39,29=8m,0m", "0,29=0m,0m")
#: Every way to a new folder.
FOLDERS = {
    "starter": "new OUT",
    "form": "new OUT --form gable --width 6m --eave 3m --pitch 6/12",
    "drawing": "new OUT --svg roof.svg --width 8m",
    "photo": ["new", "OUT", "--photo", "a.png", *(w for at in CORNERS for w in ("--point", at))],
    "other": "new OUT --from-template house.yaml",
}


@pytest.fixture
def folder(monkeypatch):
    """A folder that anybody may read, with the files; the working folder."""
    place = Path(tempfile.mkdtemp(prefix="evenfall-test-"))
    place.chmod(0o755)
    for name, text in FILES.items():
        (place / name).write_text(text, encoding="utf-8")
    Image.new("RGB", (40, 30), "grey").save(place / "a.png")
    monkeypatch.chdir(place)
    yield place
    monkeypatch.undo()
    shutil.rmtree(place)


@pytest.fixture
def call(run, folder):
    """call(words, out) runs a verb; makes the capture that one of them plays."""

    def called(words, out):
        if "a.pcap" in words and not (folder / "a.pcap").exists():
            made = run(*OUTPUTS["frames.pcap"].replace("OUT", "a.pcap").split())
            assert made.exit_code == 0, made.stderr
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as free:
            free.bind(("127.0.0.1", 0))
            port = str(free.getsockname()[1])
        given = {"OUT": str(out), "PORT": port}
        split = words.split() if isinstance(words, str) else words
        return lambda: run(*(given.get(word, word) for word in split))

    return called


def everything(folder):
    """What the folder and those in it hold."""
    return {
        str(path.relative_to(folder)): path.read_bytes() if path.is_file() else None
        for path in folder.rglob("*")
    }


def told(result, where, said):
    """Status 2 and one line that begins with the place; what goes before a result may be told."""
    assert result.exit_code == 2, (result.stdout, result.stderr, result.exception)
    assert "Traceback" not in result.stderr
    *_, line = result.stderr.strip().splitlines()
    assert line.startswith((f"{where}: ", f"{where}/")), line
    assert any(each in line for each in said), line


NOBODY = 65_534


@contextmanager
def full_disk(bytes_left=16):
    """No file takes more than that."""
    was = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (bytes_left, was[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, was)


@contextmanager
def without_rights(*places):
    """Nobody may write into these, and we are nobody."""
    modes = [(place, place.stat().st_mode) for place in places]
    for place in places:
        place.chmod(0o555)
    root = os.geteuid() == 0
    if root:
        os.setresuid(NOBODY, NOBODY, 0)
    try:
        yield
    finally:
        if root:
            os.setresuid(0, 0, 0)
        for place, mode in modes:
            place.chmod(mode)


@pytest.mark.parametrize("name", OUTPUTS)
def test_no_folder_or_a_folder_or_no_rights(folder, call, name):
    words = OUTPUTS[name]
    within, taken = folder / "shut", folder / f"taken-{name}"
    within.mkdir()
    taken.mkdir()
    for out, said in ((f"gone/{name}", "no folder gone"), (taken.name, "it is a folder")):
        again = call(words, out)
        before = everything(folder)
        told(again(), out, [said])
        assert everything(folder) == before
    again = call(words, f"shut/{name}")
    before = everything(folder)
    with without_rights(within):
        result = again()
    told(result, f"shut/{name}", ["may not be written to"])
    assert everything(folder) == before


@pytest.mark.parametrize("name", [name for name in OUTPUTS if name not in SAME_WAY])
def test_a_full_disk(folder, call, name):
    if name == "film.mp4":
        pytest.importorskip("av")
    if not name.endswith("csv"):  # then there was none
        (folder / name).write_bytes(b"what was there before")
    again = call(OUTPUTS[name], name)
    before = everything(folder)
    with full_disk():
        result = again()
    told(result, name, ["File too large"])
    assert everything(folder) == before


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no /dev/full")
@pytest.mark.parametrize("name", ["power.csv", "film.gif", "frames.pcap", "season.ics"])
def test_a_full_device(folder, call, name):
    (folder / name).symlink_to("/dev/full")
    told(call(OUTPUTS[name], name)(), name, ["No space left"])
    assert Path("/dev/full").is_char_device()


@pytest.mark.parametrize("verb", CHANGES)
def test_a_house_that_cannot_be_changed(folder, call, verb):
    name, words = CHANGES[verb]
    again = call(words, name)
    before = everything(folder)
    with full_disk():
        result = again()
    told(result, name, ["File too large"])
    assert everything(folder) == before
    with without_rights(folder):
        result = again()
    told(result, name, ["may not be written to"])
    assert everything(folder) == before
    assert again().exit_code == 0


@pytest.mark.parametrize("way", FOLDERS)
def test_a_folder_that_cannot_be_made(folder, call, way):
    shut = folder / "shut"
    shut.mkdir()
    (folder / "taken").write_text("mine")
    before = everything(folder)
    with full_disk(400 if way == "photo" else 16):
        result = call(FOLDERS[way], "deep/new")()
    told(result, "deep/new", ["File too large"])
    assert everything(folder) == before
    with without_rights(shut):
        result = call(FOLDERS[way], "shut/new")()
    told(result, "shut/new", ["Permission denied"])
    assert everything(folder) == before
    result = call(FOLDERS[way], "taken")()
    assert result.exit_code == 2
    (line,) = result.stderr.strip().splitlines()
    assert line.startswith("taken")
    assert everything(folder) == before
    assert call(FOLDERS[way], "deep/new")().exit_code == 0, way


def test_the_demo_in_a_place_that_takes_nothing(folder, run, monkeypatch):
    from sim.cli import demo

    monkeypatch.setattr(
        demo, "_pictures", lambda house: iter([("cottage-christmas.png", b"x" * 99)])
    )
    with full_disk():
        result = run("demo", "--out", "made")
    told(result, "made/cottage-christmas.png", ["File too large"])
    (folder / "shut").mkdir()
    with without_rights(folder / "shut"):
        result = run("demo", "--out", "shut/made")
    told(result, "shut/made", ["Permission denied"])


def test_a_result_of_a_sweep_is_kept_whole_or_not_at_all(tmp_path):
    out = tmp_path / "results.jsonl"
    out.write_text('{"key": "a"}\n')

    def kept():
        with _appending(out) as keep:
            keep({"key": "b"})
            keep({"key": "c" * 99})

    with full_disk(40), pytest.raises(OSError, match="File too large") as refused:
        kept()
    assert refused.value.filename == str(out)
    assert out.read_text() == '{"key": "a"}\n{"key": "b"}\n'
