"""A starter that is right as written, and schemas an editor can use."""

import json

import pytest


def test_a_new_house_passes_its_own_check(run, tmp_path):
    made = run("new", tmp_path / "mine")
    assert made.exit_code == 0
    files = [line for line in made.stdout.splitlines() if not line.startswith("Next: ")]
    house = next(line for line in files if line.endswith("house.yaml"))
    schemes = [line for line in files if line.endswith("scheme.yaml")]
    assert schemes
    checked = run("check", house, *schemes, "--seconds", "2s")
    assert checked.exit_code == 0, (checked.stdout, checked.stderr)


@pytest.mark.parametrize("of", ["house", "scheme", "season", "prices", "parts", "faults"])
def test_a_schema_names_the_keys_of_its_file(run, of):
    schema = json.loads(run("schema", of).stdout)
    assert "format" in schema["properties"]
    assert schema["additionalProperties"] is False
