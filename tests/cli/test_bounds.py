"""Lists beyond all sense are refused where they stand, and soon."""

import time


def test_colours_without_end(run, house, scheme):
    text = scheme.read_text(encoding="utf-8")
    colours = ", ".join(['"#ff8000"'] * 20_000)
    scheme.write_text(text.replace('"#ff8000"', colours), encoding="utf-8")
    began = time.process_time()
    result = run("power", house, scheme)
    assert time.process_time() - began < 10
    assert result.exit_code == 2
    assert result.stderr.startswith(f"{scheme}:5:45: a list of 20001, where at most 256 belong")


def test_zones_without_end(run, house, scheme):
    text = scheme.read_text(encoding="utf-8")
    zones = ", ".join(["eave"] * 20_000)
    scheme.write_text(text.replace("zones: [eave]", f"zones: [{zones}]"), encoding="utf-8")
    result = run("power", house, scheme)
    assert result.exit_code == 2
    assert result.stderr.startswith(f"{scheme}:5:13: a list of 20000, where at most 2000 belong")


def test_names_of_zones_without_end(run, house):
    zones = "".join(f"  z{number}: [eave]\n" for number in range(5000))
    house.write_text(house.read_text(encoding="utf-8") + f"zones:\n{zones}", encoding="utf-8")
    result = run("check", house)
    assert result.exit_code == 2
    assert "a mapping of 5000, where at most 2000 belong" in result.stderr
    assert result.stderr.startswith(f"{house}:16:3: ")
