"""What a verb lets one choose from is to be read in its help, whole, at every width."""

import re

import pytest
from typer.main import get_command

from sim.cli.main import VERBS, app_of

COMMANDS = get_command(app_of(VERBS)).commands


def choices(verb):
    """Every word that an argument or an option of a verb takes."""
    found = set()
    for parameter in COMMANDS[verb].params:
        described = parameter.type_descriptor
        if described.is_choice:
            found |= {str(getattr(each, "value", each)).casefold() for each in described.choices}
    return found


@pytest.mark.parametrize("width", ["60", "80", "120"])
@pytest.mark.parametrize("verb", VERBS)
def test_no_choice_is_cut_or_broken(run, verb, width, monkeypatch):
    monkeypatch.setenv("COLUMNS", width)
    shown = run(verb, "--help").stdout
    assert max(map(len, shown.splitlines())) <= int(width)
    assert choices(verb) <= set(re.findall(r"[\w-]+", shown.casefold()))
    # "KIND KIND…" and "U,V U,V…" say that more may follow
    assert not re.search(r"(?<!KIND)(?<!U,V)…", shown)


def test_there_are_choices():
    assert {"palettes", "profiles"} <= choices("list")
    assert {"readings", "sightings"} <= choices("schema")
    assert {"full", "schemes"} <= choices("plan")
