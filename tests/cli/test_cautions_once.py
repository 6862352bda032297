"""The cautions stand in every report of wiring, each of them once."""

import pytest

from sim.report.cautions import FLASHING, MENDING, WIRING

EVERY = (*WIRING, *MENDING, *FLASHING)
CALLS = {
    "check": ("check", "HOUSE"),
    "power": ("power", "HOUSE", "SCHEME", "--seconds", "100ms"),
    "power at two temperatures": (
        *("power", "HOUSE", "SCHEME", "--seconds", "100ms", "--between", "-20", "35"),
    ),
    "parts": ("parts", "HOUSE"),
    "patch": ("patch", "HOUSE"),
    "plan": ("plan", "HOUSE", "--anew"),
    "repair": ("repair", "HOUSE", "--cut-out", "eave[3]", "--replace", "eave[9]"),
}
MORE = {"repair": MENDING}


@pytest.mark.parametrize("name", CALLS)
def test_no_caution_is_missing_or_told_twice(run, house, scheme, name, monkeypatch):
    monkeypatch.setenv("COLUMNS", "400")  # a caution a line
    files = {"HOUSE": house, "SCHEME": scheme}
    done = run(*(files.get(word, word) for word in CALLS[name]))
    assert done.exit_code in (0, 1), done.stderr
    told = {text for text in EVERY if text in done.stdout}
    assert told == {*WIRING, *MORE.get(name, ())}
    assert all(done.stdout.count(text) == 1 for text in told)
