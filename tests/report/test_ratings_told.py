"""A supply that was planned in watts reads the same wherever it is told."""

import re
from dataclasses import replace
from io import StringIO
from pathlib import Path
from types import SimpleNamespace

from rich.console import Console

from layouts.finding import Finding
from layouts.records import Supply
from sim.circuit import SupplyUse
from sim.plan.why import Why
from sim.report.handover.facts import SupplyLoad
from sim.report.handover.supplied import supplies_table as of_handover
from sim.report.plan_report import SupplyTold
from sim.report.plan_text import _part as of_plan
from sim.report.power_text import supply_table
from sim.report.terminal import print_blocks
from sim.report.wording import sentence
from sim.report.wording.plan import why_sentence

SIM = Path(__file__).resolve().parents[2] / "sim"
#: 350 W at 12 V, as a plan writes it into a house file.
BOX = Supply("box", 12.0, 29.167, 0.85, 0.5, 0.0)
SAID = "350 W (29.2 A)"


def test_power_plan_and_handover_say_the_same():
    use = SupplyUse(BOX, nameplate_a=20.0, peak_a=15.0, peak_frame=0, mean_a=15.0)
    cells = str(supply_table([use], lambda _: 0.0).rows)
    assert f"12 V {SAID}" in cells
    assert of_plan(SupplyTold(BOX, "12 V 350 W", 117.5, 0.52)) == f"12 V {SAID}"
    assert of_plan(SupplyTold(BOX, "12 V 350 W sealed", 117.5, 0.52)) == "12 V 350 W sealed"
    load = SupplyLoad("box", 12.0, 29.167, 15.0, "", 15.0)
    facts = SimpleNamespace(supplies=(load,), house=SimpleNamespace(supplies=(BOX,)))
    assert SAID in of_handover(facts).rows[0]


def test_a_long_rating_does_not_break_the_name_of_its_supply():
    use = SupplyUse(BOX, nameplate_a=20.0, peak_a=15.0, peak_frame=0, mean_a=15.0)
    garage = replace(use, supply=replace(BOX, name="garage-wall"))
    console = Console(width=80, file=StringIO())
    print_blocks(console, [supply_table([garage], lambda _: 0.0)])
    told = console.file.getvalue()
    assert "garage-wall" in told
    assert SAID in told


def test_so_do_reasons_and_findings():
    told = {"runs": ("eave",), "rated_a": 350 / 12, "volts": 12.0}
    assert why_sentence(Why("serves", "box", 15.3, 70 / 3, "A", told)).endswith(
        f"of the 23.3 A that {SAID} rated are for hours"
    )
    missing = Finding("warning", "parts-no-supply", "box", value=29.167, unit="A",
                      detail={"volts": 12.0})  # fmt: skip
    assert f"no supply of 12 V and {SAID} or more" in sentence(missing)
    over = Finding("danger", "supply-overload", "box", value=31.0, limit=29.167, unit="A")
    assert "is rated 29.2 A" in sentence(over)


def test_no_other_place_tells_every_decimal():
    bare = re.compile(r"rated_a(\'\]|\"\])?:(\.4)?g\} A")
    found = [
        f"{path.relative_to(SIM)}: {line.strip()}"
        for path in sorted(SIM.rglob("*.py"))
        for line in path.read_text("utf-8").splitlines()
        if bare.search(line)
    ]
    # What is edited is what the file says.
    assert [each.split(":")[0] for each in found] == ["app/state/drawing_fields.py"]
