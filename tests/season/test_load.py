"""Season files: what is read, and every refusal at its place."""

import shutil

import pytest

from layouts import load_house
from layouts.errors import InputError
from sim.season import load_season, season_schema
from sim.season.schema import moment


def problems(path, house, year=2026):
    with pytest.raises(InputError) as refused:
        load_season(path, house, year=year)
    return [f"{p.line}:{p.column}: {p.what}; {p.do}" for p in refused.value.problems]


def test_a_whole_file(house, write):
    season = load_season(
        write(
            """\
name: A year at the shed
tariff: {per_kwh: 0.17, currency: USD}
evening: {on: sunset-0:15, off: 00:30}
otherwise: warm.scheme.yaml
nights:
  - {when: Halloween, scheme: spooky.scheme.yaml, before: 3}
  - {when: 12-01..01-06, scheme: frost.scheme.yaml}
"""
        ),
        house,
        year=2026,
    )
    assert season.name == "A year at the shed"
    assert season.location == house.location
    assert (season.on.base, season.on.minutes) == ("sunset", -15)
    assert (season.off.base, season.off.minutes) == ("clock", 30)
    assert [night.text for night in season.nights] == ["Halloween", "12-01..01-06"]
    assert [night.line for night in season.nights] == [7, 8]
    assert season.nights[0].before == 3
    assert {name: scheme.name for name, scheme in season.schemes.items()} == {
        "warm.scheme.yaml": "Warm",
        "spooky.scheme.yaml": "Spooky",
        "frost.scheme.yaml": "Frost",
    }


def test_the_least_file(house, write):
    season = load_season(write("otherwise: warm.scheme.yaml\n"), house, year=2026)
    assert (season.on.base, season.off.text, season.nights) == ("dusk", "23:00", ())
    assert season.tariff is None


def test_its_own_location_comes_first(house, write):
    body = "location: {latitude: 48.2, longitude: 16.4, timezone: Europe/Vienna, country: AT}\n"
    season = load_season(write(body), house, year=2026)
    assert season.location.timezone == "Europe/Vienna"


def test_every_problem_at_once(house, write):
    path = write(
        """\
evening: {on: dusk, off: "23:00"}
otherwise: wram.scheme.yaml
nights:
  - {when: Haloween, scheme: spooky.scheme.yaml}
  - {when: 13-01, scheme: spooky.scheme.yaml}
  - {when: first Saturdy of December, scheme: frost.scheme.yaml}
  - {when: 12-24, scheme: warm.scheme.yaml}
  - {when: 12-24, scheme: frost.scheme.yaml}
"""
    )
    assert problems(path, house) == [
        "3:12: no scheme file 'wram.scheme.yaml'; did you mean 'warm.scheme.yaml'?",
        "5:12: no holiday 'Haloween' is known for 2026; did you mean 'Halloween'?",
        "6:12: there is no date 13-01; write MM-DD, such as 12-24",
        "7:12: 'Saturdy' is no weekday; did you mean 'Saturday'?",
        "9:12: '12-24' has two schemes, here and in line 8; keep one",
    ]


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("nigths: []\n", ["2:1: unknown key 'nigths'; did you mean 'nights'?"]),
        (
            "nights: [{when: 12-24}]\n",
            ["2:10: the key 'scheme' is missing; add it"],
        ),
        (
            "evening: {on: twilight}\n",
            ["2:15: 'twilight' is no time; write dusk, sunset-0:30, sunrise+1:00 or 22:45"],
        ),
        (
            "evening: {off: 25:10}\n",
            ["2:16: '25:10' is no time; write dusk, sunset-0:30, sunrise+1:00 or 22:45"],
        ),
        (
            "evening: {off: 22.45}\n",
            ["2:16: '22.45' is no time; write dusk, sunset-0:30, sunrise+1:00 or 22:45"],
        ),
        (
            "tariff: {per_kwh: 0,25, currency: EUR}\n",
            ["2:21: unknown key '25'; write a decimal point: 0.25"],
        ),
        (
            "evening: {on: sunset-7:00}\n",
            ["2:15: 'sunset-7:00' is more than 6:00 from sunset; write a clock time"],
        ),
        (
            "location: {latitude: 48, longitude: 16, timezone: Europe/Wien, country: AT}\n",
            ["2:51: unknown time zone 'Europe/Wien'; did you mean 'Europe/Kiev'?"],
        ),
        (
            "location: {latitude: 48, longitude: 16, timezone: Europe/Vienna, country: XX}\n",
            [
                "2:75: unknown country 'XX'; write its ISO 3166 code, such as US,"
                " or with a subdivision, such as GB-ENG"
            ],
        ),
        (
            "location: {latitude: 48, longitude: 16, timezone: Europe/Vienna, country: usa}\n",
            ["2:75: 'usa' is not a country code; write it like DE, US or GB-ENG"],
        ),
        (
            "location:\n",
            [
                "2:1: 'location' is empty; add latitude, longitude, timezone and country, or leave"
                " it out to use the house's"
            ],
        ),
        (
            "nights: [{when: 10/31, scheme: warm.scheme.yaml}]\n",
            ["2:17: '10/31' is not how a date is written here; write 10-31 for 31 October"],
        ),
        (
            "nights: [{when: 3379-10-31, scheme: warm.scheme.yaml}]\n",
            [
                "2:17: the year of 3379-10-31 is outside 1900 to 2200; write a year in between,"
                " or none for every year"
            ],
        ),
        (
            "nights: [{when: 12-24, scheme: ../warm.scheme.yaml}]\n",
            [
                "2:32: the scheme '../warm.scheme.yaml' lies outside the season's folder;"
                " keep it beside the season file"
            ],
        ),
    ],
)
def test_refusals(house, write, body, expected):
    found = problems(write(body), house)
    if "time zone" in expected[0]:  # the nearest name depends on the machine's time zones
        assert found[0].startswith(expected[0].split(";")[0])
    else:
        assert found == expected


@pytest.mark.parametrize(
    ("body", "words"),
    [
        ("tariff: {per_kwh: -1, currency: USD}\n", "at least 0"),
        ("nights: [{when: 12-24, scheme: warm.scheme.yaml, before: 400}]\n", "at most 60"),
        ("nights: 5\n", "a list"),
        ("tariff: {per_kwh: .nan, currency: USD}\n", "not a finite number"),
    ],
)
def test_values_out_of_range(house, write, body, words):
    (found,) = problems(write(body), house)
    assert words in found


def test_a_scheme_that_does_not_load_is_told_with_the_rest(house, folder, write):
    (folder / "broken.scheme.yaml").write_text(
        'format: evenfall-scheme/1\nname: Broken\nlayers: [{effect: stedy, palette: "#fff"}]\n'
    )
    path = write("otherwise: broken.scheme.yaml\nnights: [{when: Haloween, scheme: x.yaml}]\n")
    with pytest.raises(InputError) as refused:
        load_season(path, house, year=2026)
    told = str(refused.value)
    assert "broken.scheme.yaml:3:19: unknown effect 'stedy'; did you mean 'steady'?" in told
    assert "no holiday 'Haloween'" in told
    assert "no scheme file 'x.yaml'" in told


def test_no_location_anywhere(folder, write):
    text = (folder / "house.yaml").read_text()
    bare = "\n".join(line for line in text.splitlines() if not line.startswith("location"))
    (folder / "house.yaml").write_text(bare)
    found = problems(write("otherwise: warm.scheme.yaml\n"), load_house(folder / "house.yaml"))
    assert "no location, neither here nor in" in found[0]


def test_a_wrong_country_is_told_in_the_file_that_gives_it(folder, write):
    text = (folder / "house.yaml").read_text()
    (folder / "house.yaml").write_text(text.replace("country: US", "country: ZZ"))
    with pytest.raises(InputError) as refused:
        load_season(write("nights: []\n"), load_house(folder / "house.yaml"), year=2026)
    (problem,) = refused.value.problems
    assert (problem.file, problem.line) == (str(folder / "house.yaml"), 3)
    assert problem.what == "unknown country 'ZZ'"


@pytest.mark.parametrize("text", ["Fridays", "friday", "Fri"])
def test_a_weekday_is_no_holiday(house, write, text):
    (told,) = problems(write(f"nights: [{{when: {text}, scheme: frost.scheme.yaml}}]\n"), house)
    assert told == f"2:17: no holiday '{text}' is known for 2026; did you mean 'every Friday'?"


def test_a_feast_whose_calendar_ends(house, write):
    body = "nights: [{when: Diwali, scheme: frost.scheme.yaml}]\n"
    assert load_season(write(body), house, year=2030).nights
    assert problems(write(body), house, year=2060) == [
        "2:17: no holiday 'Diwali' is known for 2060;"
        " its calendar does not reach that year; write the date, such as 11-04"
    ]


def test_wrong_shapes_and_wrong_names_are_told_together(house, write):
    path = write(
        "tarif: 5\nnights:\n  - {when: Haloween, scheme: wram.scheme.yaml, before: soon}\n  - 7\n"
    )
    found = problems(path, house)
    assert [line.split(":")[0] for line in found] == ["2", "4", "4", "4", "5"]
    assert "unknown key 'tarif'" in found[0]
    assert "no holiday 'Haloween'" in found[1]
    assert "no scheme file 'wram.scheme.yaml'" in found[2]


@pytest.mark.parametrize(
    ("text", "words"),
    [("", "empty"), ("- a\n- b\n", "expected keys and values"), ("format: [", "not YAML")],
)
def test_no_season_at_all(house, folder, text, words):
    path = folder / "odd.season.yaml"
    path.write_text(text)
    assert words in problems(path, house)[0]


def test_a_missing_file(house, folder):
    assert "there is no such file" in problems(folder / "none.yaml", house)[0]


def test_a_folder_without_schemes(house, tmp_path):
    alone = tmp_path / "alone"
    alone.mkdir()
    (alone / "a.season.yaml").write_text("format: evenfall-season/1\notherwise: x.scheme.yaml\n")
    (found,) = problems(alone / "a.season.yaml", house)
    assert found == "2:12: no scheme file 'x.scheme.yaml'; write a scheme file"
    shutil.rmtree(alone)


@pytest.mark.parametrize(
    ("text", "base", "minutes"),
    [
        ("dusk", "dusk", 0),
        ("Sunset + 0:30", "sunset", 30),
        ("sunrise−1:15", "sunrise", -75),
        ("06:05", "clock", 365),
        ("6:05", "clock", 365),
    ],
)
def test_moments(text, base, minutes):
    found = moment(text)
    assert (found.base, found.minutes) == (base, minutes)


def test_the_schema_names_the_keys():
    schema = season_schema()
    assert set(schema["properties"]) >= {"format", "evening", "nights", "otherwise", "tariff"}
    assert schema["properties"]["format"]["const"] == "evenfall-season/1"


NEVER = (
    "no evening is ever lit;"
    " write an earlier 'on' or a later 'off'; a time before 12:00 is the morning after"
)


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (
            'evening: {on: "21:00", off: "20:00"}\n',
            f"2:29: off at '20:00' is not after on at '21:00': {NEVER}",
        ),
        ("evening:\n  on: 23:30\n", f"3:3: off at '23:00' is not after on at '23:30': {NEVER}"),
        (
            "evening: {on: 01:00, off: 00:30}\n",
            f"2:27: off at '00:30' is not after on at '01:00': {NEVER}",
        ),
        (
            "evening: {on: 18:00, off: 18:00}\n",
            f"2:27: off at '18:00' is not after on at '18:00': {NEVER}",
        ),
    ],
)
def test_clock_times_that_never_give_light(house, write, body, expected):
    assert problems(write(body), house) == [expected]


@pytest.mark.parametrize("times", ["{on: '21:00', off: 00:30}", "{on: 21:00, off: 11:59}"])
def test_clock_times_before_noon_are_the_morning_after(house, write, times):
    assert load_season(write(f"evening: {times}\n"), house, year=2026).nights == ()
