"""The catalogue as the command line shows it."""

import json

import pytest

LISTS = ["kinds", "effects", "palettes", "materials", "wires", "profiles"]


@pytest.mark.parametrize("what", LISTS)
def test_every_row_is_on_the_screen_and_in_the_json(run, what, monkeypatch):
    rows = json.loads(run("list", what, "--json").stdout)[what]
    assert len(rows) >= 5
    for width in ("120", "80", "60", "40"):  # a name is there to be copied: never broken
        monkeypatch.setenv("COLUMNS", width)
        shown = run("list", what).stdout.split()
        for row in rows:
            assert set(row["name"].split()) <= set(shown), (width, row["name"])


@pytest.mark.parametrize("what", ["kinds", "wires", "materials", "profiles"])
def test_every_figure_has_its_source(run, what):
    for row in json.loads(run("list", what, "--json").stdout)[what]:
        assert row["figures"]
        for figure in row["figures"]:
            assert figure["source"], (row["name"], figure)


def test_every_number_of_a_kind_is_given_with_its_tag(run):
    for kind in json.loads(run("list", "kinds", "--json").stdout)["kinds"]:
        stated = {figure["field"]: figure for figure in kind["figures"]}
        for channel in kind["channels"]:
            figure = stated[f"channels.{channel['name']}.ma"]
            assert figure["value"] == channel["current_ma"]
            assert figure["tag"]


@pytest.mark.parametrize("what", LISTS)
def test_one_row_in_full(run, what):
    for row in json.loads(run("list", what, "--json").stdout)[what]:
        shown = run("list", what, row["name"])
        assert shown.exit_code == 0
        assert shown.stdout.startswith(row["name"])


def test_an_effect_shows_its_parameters_with_ranges(run):
    shown = run("list", "effects", "chase").stdout
    assert "speed" in shown
    assert "m/s" in shown


def test_a_list_fits_eighty_columns(run, monkeypatch):
    monkeypatch.setenv("COLUMNS", "80")
    for what in LISTS:
        assert max(map(len, run("list", what).stdout.splitlines())) <= 80
    # all of it side by side still, names whole
    assert run("list", "kinds").stdout.splitlines()[0].split()[-1] == "backup"
