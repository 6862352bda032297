"""What is wrong with the input or the call: said in lines that name the place, exit status 2."""

import re

import pytest

PLACE = re.compile(r"^[^:]+\.yaml:\d+:\d+: .+", re.MULTILINE)


def refused(result):
    """The lines of a refusal; asserts that it is one, and no traceback."""
    assert result.exit_code == 2, (result.stdout, result.stderr, result.exception)
    assert result.stdout == ""
    assert "Traceback" not in result.stderr
    return result.stderr.strip().splitlines()


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("standoff", "standof", "did you mean 'standoff'?"),
        ("amps: 12", "amps: many", "'many'"),
        ("pixels: sk6812-rgbw-warm", "pixels: sk6812-rgbw-wram", "did you mean 'sk6812-rgbw-warm'"),
        ("to: eave.start", "to: eve.start", "eave"),
        ("to: eave.start", 'to: "eave[500]"', "500"),
        ("from: box", "from: bx", "box"),
        ("wire: 14 AWG", "wire: 14 stones", "14 stones"),
        ("length: 1 m", "length: 0 m", "length"),
        ("length: 1 m", "length: .nan", "nan"),
        ("fuse: 7.5", "fuse: 0", "fuse"),
        ("[[1, 3], [3, 3]]", "[[1, 3], [1, 3]]", "path"),
        ("lap-siding-white", "lap-siding-wite", "did you mean 'lap-siding-white'"),
        ("evenfall-house/1", "evenfall-horse/1", "evenfall-house/1"),
        ("name: Test house", "name: Test house\nname: Again", "name"),
        ("runs:", "runs: [", ""),
    ],
)
def test_a_wrong_house_names_line_and_column(run, house, scheme, old, new, says):
    text = house.read_text(encoding="utf-8")
    assert old in text
    house.write_text(text.replace(old, new, 1), encoding="utf-8")
    for verb in (["check", house], ["power", house, scheme]):
        lines = refused(run(*verb))
        assert PLACE.match(lines[0]), lines
        assert any(says in line for line in lines), lines


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("effect: chase", "effect: chaze", "did you mean 'chase'?"),
        ("zones: [eave]", "zones: [eves]", "did you mean 'eave'?"),
        ("speed: 0.4", "sped: 0.4", "did you mean 'speed'?"),
        ("speed: 0.4", "speed: 400", "-10..10 m/s"),
        ('"#ff8000"', '"#ff80"', "#ff80"),
        ("brightness: 0.5", "brightness: 5", "at most 1"),
        ("brightness: 0.5", "brightness: 500 %", "write at least 0 and at most 1"),
        ("brightness: 0.5", "brightness: 0.5\nwhite: lots", "'lots'"),
    ],
)
def test_a_wrong_scheme_names_line_and_column(run, house, scheme, old, new, says):
    text = scheme.read_text(encoding="utf-8")
    assert old in text
    scheme.write_text(text.replace(old, new, 1), encoding="utf-8")
    for verb in ("check", "power", "preview"):
        lines = refused(run(verb, house, scheme))
        assert PLACE.match(lines[0]), lines
        assert any(says in line for line in lines), lines


def test_every_problem_of_a_file_at_once(run, house):
    text = house.read_text(encoding="utf-8")
    text = text.replace("standoff", "standof").replace("amps: 12", "amps: many")
    house.write_text(text, encoding="utf-8")
    assert len(refused(run("check", house))) == 2


def test_check_tells_the_problems_of_every_scheme(run, house, scheme, tmp_path):
    other = tmp_path / "other.scheme.yaml"
    text = scheme.read_text(encoding="utf-8")
    scheme.write_text(text.replace("chase", "chaze"), encoding="utf-8")
    other.write_text(text.replace("speed", "sped"), encoding="utf-8")
    lines = refused(run("check", house, scheme, other))
    assert [line.split(":")[0] for line in lines] == [str(other), str(scheme)]


def test_a_missing_file_a_folder_an_empty_and_a_binary_file(run, house, tmp_path):
    missing, empty, binary = (tmp_path / name for name in ("no.yaml", "empty.yaml", "bin.yaml"))
    empty.touch()
    binary.write_bytes(bytes(range(256)))
    for path in (missing, tmp_path, empty, binary):
        lines = refused(run("check", path))
        assert len(lines) == 1
        assert lines[0].startswith(f"{path}:1:1: ")


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (["powre"], "'powre'"),
        (["power"], "HOUSE"),
        (["power", "a", "b", "--att", "3s"], "--att"),
        (["power", "a", "b", "--at", "soon"], "write 3s, 1m20s or 250ms"),
        (["power", "a", "b", "--seconds", "0"], "longer than nothing"),
        (["list", "kind"], "'kind'"),
        (["list", "kinds", "sk6812-rgwb-warm"], "did you mean 'sk6812-rgbw-warm'?"),
        (["schema", "hose"], "'hose'"),
        (["new"], "DIR"),
        (["--loud"], "--loud"),
    ],
)
def test_a_wrong_call_is_one_line(run, call, says):
    lines = refused(run(*call))
    assert len(lines) == 1
    assert says in lines[0]


def test_new_never_overwrites(run, tmp_path):
    assert run("new", tmp_path / "mine").exit_code == 0
    house = tmp_path / "mine" / "house.yaml"
    house.write_text("mine", encoding="utf-8")
    lines = refused(run("new", tmp_path / "mine"))
    assert len(lines) == 1
    assert house.read_text(encoding="utf-8") == "mine"


def test_a_folder_that_may_not_be_written(run):
    # Not even root may make a folder in /proc, so this holds whoever runs the tests.
    for call in (["new", "/proc/mine"], ["demo", "--out", "/proc/mine"]):
        lines = refused(run(*call))
        assert len(lines) == 1
        assert lines[0].startswith("/proc/mine: ")


def test_an_output_that_cannot_be_written_is_one_line(run, house, scheme, tmp_path):
    lines = refused(run("power", house, scheme, "--csv", tmp_path / "no" / "such" / "a.csv"))
    assert len(lines) == 1
    assert "cannot be written" in lines[0]


@pytest.mark.parametrize(
    ("share", "says"),
    [
        ("160%", "'160%' is out of range; write 0 to 1, or 0% to 100%"),
        ("-0.1", "'-0.1' is out of range; write 0 to 1, or 0% to 100%"),
        ("half", "'half' is no share; write 0.6 or 60%"),
    ],
)
def test_a_share_on_the_command_line(run, house, scheme, share, says):
    (line,) = refused(run("render", house, scheme, "--json", "--brightness", share))
    assert says in line


def test_a_share_may_be_per_cent(run, house, scheme):
    tenth, same, more = (
        run("render", house, scheme, "--json", "--brightness", share).stdout
        for share in ("0.1", "10 %", "60%")
    )
    assert tenth == same
    assert tenth != more


def test_prices_are_refused_in_our_words(run, house, scheme):
    (house.parent / "prices.yaml").write_text(
        "format: evenfall-prices/1\ncurrency: EUR\n"
        "kinds:\n  sk6812: {per_metre: 7.50 EUR}\n  ws2813: {per_pixel: -1}\n"
    )
    lines = refused(run("compare", house, scheme, "--kinds", "sk6812", "ws2813"))
    assert [line.partition("prices.yaml:")[2] for line in lines] == [
        "4:23: expected a number, found '7.50 EUR'; write the number alone",
        "5:23: -1 is out of range; write at least 0",
    ]
