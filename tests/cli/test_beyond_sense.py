"""Numbers beyond sense are refused at once, in one short line that names their place."""

import pytest
import typer

from sim.cli.common import LONGEST_S, parse_time_s

NINES = "9" * 400
MANY = "9" * 5000


@pytest.mark.parametrize("text", [NINES, f"{NINES}h", "8761h", f"1h{NINES}ms"])
def test_a_time_lies_within_a_year(text):
    with pytest.raises(typer.BadParameter, match="more than a year") as refusal:
        parse_time_s(text)
    assert len(str(refusal.value)) < 160
    assert parse_time_s("8760h") == LONGEST_S


@pytest.mark.parametrize("verb", [["power"], ["render", "--out", "x.png"], ["fault"]])
def test_every_verb_refuses_it_in_one_short_line(run, house, scheme, verb):
    for time in (NINES, f"soon{NINES}"):
        result = run(verb[0], house, scheme, *verb[1:], "--at", time)
        assert result.exit_code == 2
        (line,) = result.stderr.strip().splitlines()
        assert len(line) < 300


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("to: eave.start", f'to: "eave[{MANY}]"', "is too large"),
        ("wire: 14 AWG", f"wire: {MANY} AWG", "AWG"),
        ("length: 1 m", f"length: {MANY}/{MANY} in", "length"),
        ("[[1, 3], [3, 3]]", f'[["= {MANY}", 3], [3, 3]]', ""),
    ],
)
def test_digits_without_end_are_told_in_our_words(run, house, old, new, says):
    text = house.read_text(encoding="utf-8")
    assert old in text
    house.write_text(text.replace(old, new, 1), encoding="utf-8")
    result = run("check", house)
    assert result.exit_code == 2, result.stdout
    for line in result.stderr.strip().splitlines():
        assert line.startswith(f"{house}:")
        assert len(line) < len(str(house)) + 300
        assert "sys.set_int" not in line
    assert says in result.stderr


def test_a_strip_of_no_resistance_is_refused_where_it_is_written(run, house):
    text = house.read_text(encoding="utf-8")
    kind = "kinds:\n  mine: {like: sk6812-rgbw-warm, rail_ohm_per_m: 0}\nruns:"
    text = text.replace("runs:", kind).replace("pixels: sk6812-rgbw-warm", "pixels: mine")
    house.write_text(text, encoding="utf-8")
    result = run("check", house)
    assert result.exit_code == 2
    assert result.stderr.startswith(f"{house}:10:50: 0 is out of range")
