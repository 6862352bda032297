"""`evenfall new --form`: what is typed becomes a house; what cannot be is told all at once."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from effects import load_scheme
from layouts import load_house
from layouts.errors import InputError
from layouts.forms import FORMS
from layouts.forms.typed import measures_of, pitch_of
from sim.cli.new import TAKES, source_of


def test_a_house_from_measurements_with_its_schemes(run, tmp_path: Path) -> None:
    call = ["--form", "gable", "--width", "40 ft", "--eave", "9 ft", "--pitch", "6/12"]
    call += ["--storeys", "2", "--garage", "right", "--porch", "8 ft"]
    made = run("new", tmp_path / "mine", *call)
    assert made.exit_code == 0, made.stderr
    house = load_house(tmp_path / "mine" / "house.yaml")
    assert house.units == "ft"  # as it was measured
    assert not house.supplies
    assert {"eaves", "gables", "entrance"} <= set(house.zones)
    for name in ("evening", "holiday"):
        load_scheme(tmp_path / "mine" / f"{name}.scheme.yaml", house)
    next_lines = [line for line in made.stdout.splitlines() if "evenfall " in line]
    assert [line.split("evenfall ")[1].split()[0] for line in next_lines] == ["plan", "preview"]
    again = run("new", tmp_path / "mine", *call)
    assert again.exit_code == 2
    assert "already there" in again.stderr


@pytest.mark.parametrize(
    "call",
    [
        "--form gable --width 9m --porch 3m",
        "--form hip --width 12m --garage right --dormers 1 --depth 9m --pitch 8/12",
        "--form flat --width 36ft --storeys 2 --garage left --dark",
    ],
)
def test_the_house_is_planned_and_then_in_order(run, tmp_path: Path, call: str) -> None:
    """From a few figures to a checked house: three calls, nothing typed in between."""
    assert run("new", tmp_path, *call.split()).exit_code == 0
    planned = run("plan", tmp_path / "house.yaml", "--write")
    assert planned.exit_code == 0, planned.stderr
    schemes = sorted(tmp_path.glob("*.scheme.yaml"))
    checked = run("check", tmp_path / "house.yaml", *schemes, "--seconds", "2s")
    assert checked.exit_code == 0
    assert "0 dangers, 0 warnings" in checked.stdout


@pytest.mark.parametrize(
    ("text", "pitch"),
    [
        ("6/12", 0.5),
        ("6:12", 0.5),
        ("4 in 12", 1 / 3),
        ("45°", 1.0),
        ("30 deg", 1 / math.sqrt(3)),  # tan 30°
        ("50 %", 0.5),
        ("50%", 0.5),
    ],
)
def test_pitches_as_the_trade_writes_them(text: str, pitch: float) -> None:
    assert pitch_of(text) == pytest.approx(pitch)


@pytest.mark.parametrize("text", ["6", "steep", "6/0", "90°", "", "-6/12"])
def test_what_is_no_pitch(text: str) -> None:
    with pytest.raises(ValueError, match="write it like"):
        pitch_of(text)


def test_all_that_is_wrong_is_told_at_once(run, tmp_path: Path) -> None:
    call = ["--form", "gable", "--width", "0.5 m", "--eave", "1 m", "--pitch", "0/12"]
    call += ["--storeys", "8", "--dormers", "some", "--garage", "none", "--garage-width", "12"]
    refused = run("new", tmp_path / "mine", *call)
    assert refused.exit_code == 2
    flags = {line.split(":")[0] for line in refused.stderr.splitlines()}
    wrong = {"--width", "--eave", "--pitch", "--storeys", "--dormers", "--garage-width"}
    assert flags == wrong
    assert all("; " in line for line in refused.stderr.splitlines())  # each says what to do
    assert not (tmp_path / "mine").exists()


@pytest.mark.parametrize(
    ("call", "said"),
    [
        ("--form gable", "--width: how wide"),
        ("--form igloo --width 12m", "--form: 'igloo' is not known"),
        ("--form gable --width 12", "no unit; write '12 ft' or '12 m'"),
        ("--form gable --width 12m --porch 13m", "--porch: 13 m is wider than the wall"),
        ("--form cross-gable --width 9m --porch 8m", "wider than the wall beside the gable"),
        ("--form gable --width 12m --dormers 2", "write --facing eave"),
        ("--form flat --width 12m --dormers 2", "no slope of the roof looks at the street"),
        ("--form hip --width 12m --dormers 6 --pitch 12/12", "do not fit beside each other"),
        ("--form gable --facing eave --width 12m --dormers 1 --pitch 3/12", "a dormer needs"),
        ("--form flat --width 12m --pitch 6/12", "a flat roof has none"),
        ("--form hip --width 12m --facing gable", "--facing"),
        ("--form flat --width 12m --storeys 2 --eave 3m", "2 storeys do not fit"),
        ("--form gable --width 12m --eave 9m", "very high for 1 storey;"),
        ("--form gable --width 12m --porch 3m --eave 2.3m", "no porch fits"),
        ("--form gable --width 12m --wall marzipan", "--wall: 'marzipan' is not known"),
        ("--form gable --width 12m --kind ws9999", "--kind: 'ws9999' is not known"),
        ("--form gable --width 12m --units ell", "--units: 'ell' is no unit"),
        ("--form gable --width 40m --pitch 24/12", "above the eave"),
        ("--form gable --width 12m --porch-depth 2m", "--porch-depth: there is no porch"),
        ("--form gable --photo a.jpg --width 12m", "--form and --photo"),
        ("--porch 3m", "--porch: it goes with --form"),
        ("--set width=3m", "--set: it goes with --from-template"),
        ("--form gable --width 12m --point 1,2=3,4", "--point: it goes with --photo"),
    ],
)
def test_what_no_house_can_be(run, tmp_path: Path, call: str, said: str) -> None:
    refused = run("new", tmp_path / "mine", *call.split())
    assert refused.exit_code == 2
    assert said in refused.stderr, refused.stderr
    assert "mistake of evenfall" not in refused.stderr
    assert not (tmp_path / "mine").exists()


def test_every_pair_of_sources_contradicts() -> None:
    for one in TAKES:
        assert source_of({one}) == one
        for other in set(TAKES) - {one}:
            with pytest.raises(InputError, match="a house comes from one of them"):
                source_of({one, other})
    assert source_of(set()) == ""


def test_other_sources_get_what_was_typed(
    run, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A photograph, a drawing and a template are read elsewhere; this verb only hands on."""
    import sim.cli.new_photo
    import sim.cli.new_svg
    import sim.cli.new_template

    heard: list[tuple[object, ...]] = []

    def hear(folder: Path, *more: object) -> list[Path]:
        heard.append(more)
        return [folder / "house.yaml"]

    monkeypatch.setattr(sim.cli.new_photo, "from_photo", hear)
    monkeypatch.setattr(sim.cli.new_svg, "from_svg", hear)
    monkeypatch.setattr(sim.cli.new_template, "from_template", hear)
    for call in (
        ["--photo", "a.jpg", "--point", "1,2 = 0,0", "--point", "9,2 = 8,0", "--viewer", "12 m"],
        ["--photo", "a.jpg", "--length", "1,2 9,2 = 8 m", "--eaves", "1,1 2,2 3,3", "--units", "m"],
        ["--svg", "a.svg", "--width", "9 m", "--name", "Ours"],
        ["--from-template", "a.yaml", "--set", "width=9m", "--set", "eave=3m"],
    ):
        made = run("new", tmp_path / "mine", *call)
        assert made.exit_code == 0, made.stderr
        assert "Next: evenfall check" in made.stdout
    photo, points = Path("a.jpg"), ["1,2 = 0,0", "9,2 = 8,0"]
    assert heard == [
        (photo, points, [], [], "12 m", None, None),
        (photo, [], ["1,1 2,2 3,3"], ["1,2 9,2 = 8 m"], None, "m", None),
        (Path("a.svg"), "9 m", None, "Ours"),
        (Path("a.yaml"), ["width=9m", "eave=3m"]),
    ]


def test_units_are_those_of_the_tape() -> None:
    assert measures_of({"form": "hip", "width": "40' 6\""}, None).units == "ft"
    assert measures_of({"form": "hip", "width": "12.5 m"}, None).units == "m"
    asked = measures_of({"form": "hip", "width": "480", "eave": "3 m"}, "in")
    assert (asked.units, asked.width, asked.eave) == ("in", pytest.approx(12.192), 3.0)
    assert not measures_of({"form": "hip", "width": "12 m", "porch": "none"}, None).porch


@pytest.mark.parametrize("form", FORMS)
def test_both_schemes_fit_every_form(run, tmp_path: Path, form: str) -> None:
    assert run("new", tmp_path, "--form", form, "--width", "11 m").exit_code == 0
    house = load_house(tmp_path / "house.yaml")
    for scheme in tmp_path.glob("*.scheme.yaml"):
        used = {zone for layer in load_scheme(scheme, house).layers for zone in layer.zones}
        assert used <= set(house.zones)
