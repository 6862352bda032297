"""The bands of a house: quick and full agree, means and light follow, the verb tells them."""

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from effects.colour_spaces import lab_of, uv_1976
from layouts import change
from layouts.errors import EvenfallError
from sim.circuit import Ceiling
from sim.cli.main import app
from sim.scan import Scan, scan
from sim.spread import band, fixed, kept, of_draws, trials, unknowns
from sim.spread.bands import Band
from sim.spread.ceilings import Levels, ceilings
from sim.spread.frames import shown
from sim.spread.quick import loads_of, quick_bands
from sim.spread.study import Study, study

DRAWS = 1000


@pytest.fixture(scope="module")
def found(watched: Scan, nominal_ceiling: Ceiling) -> Study:
    return study(watched, nominal_ceiling, DRAWS, seed=3)


def within(low: float, high: float, drawn: Band, part: float = 0.0) -> bool:
    """Whether both ends lie where the ends of the draws may, by their number; or `part` of their
    standard uncertainty off."""
    slack = part * drawn.sd + 1e-9
    (a, b), (c, d) = drawn.low_error, drawn.high_error
    return a - slack <= low <= b + slack and c - slack <= high <= d + slack


def test_quick_bands_are_those_of_the_draws(
    watched: Scan, nominal_ceiling: Ceiling, found: Study
) -> None:
    quick = quick_bands(watched, nominal_ceiling)
    assert within(*quick.peak_a, found.figure("", "peak_a").band)
    assert within(*quick.supply_peak_a[0], found.figure("supplies", "peak_a", 0).band)
    for index in range(2):
        assert within(*quick.run_min_v[index], found.figure("runs", "min_v", index).band)
        assert within(*quick.wire_peak_a[index], found.figure("wires", "peak_a", index).band)
    drawn = found.figure("", "brightness_ceiling").band
    assert quick.ceiling is not None
    assert drawn.sd > 0.02  # the house is at its limits, so that there is something to agree on
    assert quick.ceiling[0] == pytest.approx(drawn.low, abs=0.25 * drawn.sd)
    assert quick.ceiling[1] == pytest.approx(drawn.high, abs=0.25 * drawn.sd)


def test_quick_bands_hold_where_a_strip_starves(watched: Scan) -> None:
    """Effects do not add up there: the more it starves, the less it draws."""
    starved = scan(watched.rig, watched.show, brightness=0.7)
    frames, quick = shown(starved, even=0), quick_bands(starved, None)
    known = unknowns(watched.rig.house)
    load = frames.supply_load
    drawn = trials(watched.rig.network, known, frames.codes, 1000, seed=3, supply_load=load)
    assert (drawn.used[..., -2:].max(axis=(1, 2)) > 1).mean() > 0.99
    for index in range(2):
        true = band(drawn.run_v[..., index].min(axis=1))
        assert within(*quick.run_min_v[index], true, 0.1)
    assert within(*quick.peak_a, band(drawn.run_a.sum(axis=2).max(axis=1)), 0.1)


def test_the_sheets_are_told_unchanged(watched: Scan, found: Study) -> None:
    assert found.figure("supplies", "peak_a", 0).head.nominal == watched.supplies[0].peak_a
    at_sheet = found.first.at_sheet
    for figure, value in zip(found.figures, at_sheet, strict=False):
        if figure.head.section != "light":
            # the frames shown are those in which each figure is what the scan says
            assert value == pytest.approx(figure.head.nominal, rel=2e-3), figure.head


def test_ceilings_keep_every_limit(watched: Scan, found: Study) -> None:
    """A little below each ceiling every limit is kept, a little above one is passed."""
    frames, known = shown(watched), unknowns(watched.rig.house)
    from sim.spread import draws

    drawn = draws(known, 12, seed=3)
    each = ceilings(frames, drawn, Levels(frames))
    assert each == pytest.approx(found.figure("", "brightness_ceiling").values[:12], abs=1e-9)
    for d in np.flatnonzero(each < 1):
        one = fixed(known, drawn.common[d : d + 1], drawn.current_each[d : d + 1])
        network = watched.rig.network
        for step, keeps in ((-1.5, True), (1.5, False)):
            codes = frames.codes_at(float(each[d]) + step / 256)
            held = of_draws(network, one, codes, supply_load=frames.supply_load)
            assert kept(held)[0] == keeps


def test_one_wrong_way_shows(watched: Scan) -> None:
    """Thicker rails, higher volts and more current act as a person expects."""
    known, frames = unknowns(watched.rig.house), shown(watched, even=0)
    names = [each.factor for each in known.common]
    moved = np.repeat(known.nominal[None], 4, axis=0)
    moved[1, names.index("rail_ohm")] = 1.3
    moved[2, names.index("supply_v")] = 1.03
    moved[3, names.index("current")] = 1.08
    plain, rail, volts, current = loads_of(
        of_draws(watched.rig.network, fixed(known, moved), frames.codes)
    )
    assert rail[-2] < plain[-2] - 0.01  # least volts of the first run
    assert volts[-2] > plain[-2] + 0.1
    assert current[0] > plain[0] * 1.04


def test_blocks_do_not_change_draws(watched: Scan) -> None:
    known, codes = unknowns(watched.rig.house), shown(watched).codes
    network = watched.rig.network
    whole = trials(network, known, codes, 300, seed=1)
    late = trials(network, known, codes, 20, seed=1, first=280)
    assert whole.supply_a[280:] == pytest.approx(late.supply_a, rel=1e-9)
    assert len(whole) == 300


def test_what_is_known_has_no_band(watched: Scan) -> None:
    names = [each.factor for each in unknowns(watched.rig.house).common]
    own = {name: {"exact": 1} for name in dict.fromkeys(names) if name[:2] not in ("vf", "nm")}
    own |= {name: {"exact": 0} for name in names if name[:2] in ("vf", "nm")}
    own |= {"current_each": {"exact": 1}, "flux_each": {"exact": 1}}
    house = change(watched.rig.house, spread={"factors": own})
    known = unknowns(house)
    made = trials(watched.rig.network, known, shown(watched).codes, 20)
    assert np.ptp(made.supply_a, axis=0).max() < 1e-12


def test_two_reels_of_one_light_match(found: Study) -> None:
    (white,) = found.whites
    assert (white.delta_e > 0).all()
    middle, long, short, _ = white.ellipse
    assert long >= short > 0
    # 95 % of the draws lie in the ellipse of their mean and covariance, bell curve or nearly
    off = white.uv - middle
    distance = np.einsum("di,ij,dj->d", off, np.linalg.inv(np.cov(white.uv.T)), off)
    assert np.mean(distance <= -2 * np.log(0.05)) == pytest.approx(0.95, abs=0.03)


def test_colours_are_those_of_the_library() -> None:
    import warnings

    xyz = np.array([[0.4, 0.35, 0.2], [0.001, 0.002, 0.003], [0.9, 1.0, 1.1]])
    white = np.array([0.95047, 1.0, 1.08883])
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import colour
    # colour-science, XYZ_to_Lab and xy_to_Luv_uv
    xy = colour.XYZ_to_xy(xyz)
    assert uv_1976(xyz) == pytest.approx(colour.xy_to_Luv_uv(xy), abs=1e-9)
    known = colour.XYZ_to_Lab(xyz, colour.XYZ_to_xy(white))
    assert lab_of(xyz, white) == pytest.approx(known, abs=1e-6)


def test_digits_end_it_early(watched: Scan) -> None:
    early = study(watched, None, 20_000, digits=1)
    assert early.held
    assert early.draws < 20_000
    assert early.draws % 500 == 0


@pytest.mark.parametrize("count", [1, 99, 100_001, 1_000_000_000])
def test_too_few_and_too_many_are_refused(watched: Scan, count: int) -> None:
    with pytest.raises(EvenfallError, match="take 100 to 100 000"):
        study(watched, None, count)


def told(*call: object) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, [str(each) for each in call])
    return done.exit_code, done.stdout, done.stderr


def test_the_verb_tells_bands(files: tuple[Path, Path]) -> None:
    code, out, _ = told("power", *files, "--spread", 200, "--seed", 5, "--json")
    assert code in (0, 1)
    data = json.loads(out)
    low, high = data["supplies"][0]["peak_a_band"]
    assert low < data["supplies"][0]["peak_a"] < high
    for key in ("peak_a_band", "mean_a_band", "brightness_ceiling_band"):
        assert len(data[key]) == 2
    assert data["runs"][0]["min_v_band"][0] < data["runs"][0]["min_v"]
    assert {"dc_w_mean_band", "wall_w_mean_band"} <= data["energy"].keys()
    assert data["spread"]["draws"] == 200
    assert data["spread"]["exceeds"][0]["limit"] == "any limit"
    assert told("power", *files, "--spread", 200, "--seed", 5, "--json")[1] == out
    assert told("power", *files, "--spread", 200, "--seed", 6, "--json")[1] != out


def test_every_report_has_the_quick_bands(files: tuple[Path, Path]) -> None:
    _, out, _ = told("power", *files, "--json")
    data = json.loads(out)
    assert data["runs"][1]["min_v_band"][0] < data["runs"][1]["min_v"]
    assert data["supplies"][0]["peak_a_band"][1] > data["supplies"][0]["peak_a"]
    assert 0 < data["brightness_ceiling_band"][0] <= data["brightness_ceiling_band"][1] <= 1
    assert "spread" not in data
    _, screen, _ = told("power", *files)
    assert "How sure" in screen
    assert "Mains work belongs to a licensed electrician" in screen


@pytest.mark.parametrize(
    ("flags", "said"),
    [
        (("--spread", 1), "too few"),
        (("--spread", 1_000_000_000), "take 100 to 100 000"),
        (("--seed", 3), "--seed and --digits serve --spread"),
    ],
)
def test_calls_that_make_no_sense_end_with_2(
    files: tuple[Path, Path], flags: tuple, said: str
) -> None:
    code, _, err = told("power", *files, *flags)
    assert code == 2
    assert said in " ".join(err.split())


def test_a_house_without_supplies_has_bands_too(files: tuple[Path, Path], tmp_path: Path) -> None:
    text = files[0].read_text()
    bare = tmp_path / "bare.yaml"
    bare.write_text(text[: text.index("supplies:")])
    code, out, _ = told("power", bare, files[1], "--spread", 100, "--json")
    assert code in (0, 1)
    data = json.loads(out)
    assert data["peak_a_band"][0] < data["peak_a"] < data["peak_a_band"][1]
    assert "brightness_ceiling_band" not in data
    assert band(np.arange(100.0)).mean == 49.5


def test_supplies_that_push_each_other_have_no_ceiling(
    files: tuple[Path, Path], tmp_path: Path
) -> None:
    """Two + are joined, 5 V and 5.2 V: in the dark one pushes the other in nearly every draw."""
    text = files[0].read_text()
    joined = tmp_path / "joined.yaml"
    joined.write_text(
        text[: text.index("supplies:")]
        + "supplies: [{name: a, volts: 5, amps: 8}, {name: b, volts: 5.2, amps: 8}]\n"
        + "wires:\n  - {from: a, to: eave.start, wire: 16 AWG, length: 1}\n"
        + "  - {from: b, to: eave.end, wire: 16 AWG, length: 1}\n"
    )
    code, out, _ = told("power", joined, files[1], "--spread", 100, "--json")
    assert code == 1
    data = json.loads(out)
    assert data["brightness_ceiling"] == 0
    assert data["brightness_ceiling_band"][0] == 0
    _, out, _ = told("power", joined, files[1], "--json")
    assert "brightness_ceiling_band" not in json.loads(out)
