"""Chapters for whoever builds: what to mind, the elevation, wires, data and addresses."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from layouts.cuts import cut_along_m
from layouts.fuses_above import fuses_above
from layouts.records import House, Wire, WireEnd
from sim.data.patch import refreshes
from sim.report.cautions import FLASHING, WIRING
from sim.report.handover.doc import Bullets, Chapter, Figure, Grid, Para, Part, Sub, Warned, cols
from sim.report.handover.elevation import elevation
from sim.report.handover.facts import Handover
from sim.report.handover.single_line import single_line
from sim.report.handover.small_figures import data_lines
from sim.report.handover.supplied import boxes_table, mains_table, supplies_table
from sim.report.lengths import laid_text
from sim.report.limits_told import against_ceiling, all_limits
from sim.report.text import brightness_percent, number, ratings_row
from sim.report.wording import sentence

if TYPE_CHECKING:
    from sim.report.power import PowerReport

UNWIRED = (
    "The house file names no supply and no wire. What is missing before anything can be switched"
    " on: supplies, feeds, fuses. 'evenfall plan' proposes them; make this document again after."
)


def cautions_chapter(facts: Handover) -> Chapter:
    """What to mind, and what was found."""
    parts: list[Part] = [Bullets(WIRING, look="caution")]
    if facts.schemes:
        parts.append(Bullets(FLASHING, look="caution"))
    if not facts.house.supplies:
        parts.append(Para(UNWIRED, "lead"))
    parts.append(Sub("What the figures show"))
    told = tuple((each.level, each.where, sentence(each)) for each in facts.findings)
    parts.append(Warned(told) if told else Para("Nothing was found that goes beyond a limit."))
    return Chapter("cautions", "Before you touch anything", tuple(parts))


def elevation_chapter(facts: Handover) -> Chapter:
    """The drawn house with all that is fixed to it."""
    drawn = elevation(facts)
    note = (
        "A bar marks where the data of a run begins, arrows the way it goes. W1, W2 … number the"
        " wires as every table and drawing here does; a dot is where a wire meets a run."
    )
    if any(run.cuts for run in facts.house.runs):
        note += " Two bars across a run: + is cut there, − and data go through."
    if facts.house.wires and not drawn.cables:
        note += (
            " The house file does not say where every supply hangs, so cable is not drawn; lengths"
            " are in the table of wires."
        )
    if drawn.left_out:
        note += f" No room was left for: {', '.join(drawn.left_out)}."
    title = f"{facts.house.name} from the street, runs and feeds"
    runs = tuple(_run_row(facts, n) for n in range(len(facts.house.runs)))
    heads = cols("Run", "Kind", ">Pixels", ">Length", "Profile", "Aim", ">Begins at x, y")
    table = Grid(
        "Runs",
        heads,
        runs,
        note="Places are of the first corner, from the left and from the ground of the drawing.",
    )
    boxes = boxes_table(facts)
    parts: list[Part] = [Figure(title, drawn.svg, note), table]
    parts += [] if boxes is None else [boxes]
    return Chapter("elevation", "Elevation", (*parts, *_cuts(facts.house)), True)


def _cuts(house: House) -> Iterator[Grid]:
    """Where + is interrupted, as a tape finds it."""
    rows = tuple(
        (run.name, f"{before - 1} and {before}",
         laid_text(cut_along_m(house, run, before), house.units))
        for run in house.runs
        for before in run.cuts
    )  # fmt: skip
    if rows:
        yield Grid(
            "Cuts of the +",
            cols("Run", ">Between pixels", ">Along"),
            rows,
            note="Only + is interrupted there; − and data go through. Along: from the first pixel's"
            " end of the run.",
        )


def _run_row(facts: Handover, at: int) -> tuple[str, ...]:
    house = facts.house
    run = house.runs[at]
    x, y = run.path_m[0].tolist()
    told = f" ({run.spares} of them spare)" if run.spares else ""
    told += f", and {len(run.missing)} cut out" if run.missing else ""
    aim = run.aim if isinstance(run.aim, str) else f"{run.aim:g}°"
    return (
        run.name,
        run.kind.name,
        f"{run.present}{told}",
        laid_text(run.length_m, house.units),
        run.profile.name,
        aim,
        f"{laid_text(x, house.units)}, {laid_text(y, house.units)}",
    )


def wiring_chapter(facts: Handover) -> Chapter:
    """The single-line diagram and the tables of wires and supplies."""
    if not facts.house.supplies and not facts.house.wires:
        told = (_schemes(facts),) if facts.reports else ()
        return Chapter("wiring", "Wiring", (Para(UNWIRED, "lead"), *told))
    return Chapter("wiring", "Wiring", tuple(_wiring(facts)))


def peak_said(facts: Handover) -> str:
    """What a peak is one of."""
    if not facts.reports:
        return "No scheme was given: peaks are those with every channel of every pixel full."
    many = len(facts.reports)
    return (
        f"Peaks are the highest of {many} scheme{'s' if many > 1 else ''}, watched frame by frame"
        " for as long as the table of schemes says; the last column is with every channel of every"
        " pixel full."
    )


def _wiring(facts: Handover) -> Iterator[Part]:
    yield Para(
        "One line is a pair of conductors, + and −. Fuses sit in +, at the supply. "
        + peak_said(facts)
    )
    for figure in single_line(facts):
        yield Figure(f"Single-line diagram, {figure.said}", figure.svg)
    house = facts.house
    above = {id(wire): fused for wire, fused in fuses_above(house)}
    rows = tuple(
        (
            f"W{load.number}",
            f"{_end(house, load.wire.start)} → {_end(house, load.wire.end)}",
            load.wire.size.name,
            f"{load.plus_colour} / {load.minus_colour}",
            laid_text(load.wire.length_m, house.units),
            _fuse(load.wire, above.get(id(load.wire), ())),
            f"{load.wire.size.ampacity_a:g} A",
            f"{load.peak_a:.2f} A",
            f"{load.drop_v:.3f} V",
            f"{load.full_a:.2f} A",
        )
        for load in facts.wires
    )
    if rows:
        heads = cols(
            "|Wire",
            "From → to",
            "|Size",
            "+ / −",
            ">One way",
            ">Fuse",
            ">Most",
            ">Peak",
            ">Drop",
            ">All full",
        )
        yield Grid(
            "Every wire",
            heads,
            rows,
            "small",
            "Along: from the first pixel's end of the run. Fuse: its own, or those that"
            " it stands behind, all that together feed one end of it. Most: the largest fuse the"
            " wire may stand behind, or the sum of several. Drop: lost in both conductors and its"
            " fuse at the peak. Colours as the parts list has them, by common"
            " practice red for + and black for −; local code comes first.",
        )
    if facts.supplies:
        yield supplies_table(facts)
        yield mains_table(facts)
    if facts.reports:
        yield _schemes(facts)


def _end(house: House, end: WireEnd) -> str:
    """An end of a wire as the file has it; of a pad beside a pixel also how far along its run."""
    if end.kind != "run" or "@" in end.text or end.pad in (0, house.run(end.name).count + 1):
        return end.text
    along_m = float(house.pixels.along_m[house.run(end.name).first + end.pad - 1])
    return f"{end.text} ({laid_text(along_m, house.units)} along)"


def _fuse(wire: Wire, above: tuple[Wire, ...]) -> str:
    if wire.fuse_a is not None:
        return f"{wire.fuse_a:g} A"
    return f"behind {ratings_row([each.fuse_a or 0.0 for each in above])}" if above else "–"


def _watched(report: PowerReport) -> str:
    """How long a scheme was watched; of one that never moves, every frame tells all."""
    from effects.show import common_period_s

    show = report.scan.show
    still = show.period_s == 1 / show.fps and common_period_s(show.layers) == 0
    return "stands still" if still else f"{report.scan.seconds:g} s"


def _schemes(facts: Handover) -> Grid:
    """What the schemes take, and how long each was watched."""
    rows = []
    for report in facts.reports:
        energy, ceiling = report.scan.energy, report.ceiling
        level, most = brightness_percent(report.scan.brightness), "–"
        if ceiling is not None:
            level, most = against_ceiling(report.scan.brightness, ceiling)
        rows.append(
            (
                report.scan.show.scheme.name,
                level,
                most,
                _watched(report),
                f"{energy.dc_w_mean:.1f} W",
                "–" if energy.wall_w_mean is None else f"{energy.wall_w_mean:.1f} W",
                "–" if energy.idle_wall_w is None else f"{energy.idle_wall_w:.1f} W",
            )
        )
    heads = cols(
        "Scheme", ">Brightness", ">Ceiling", ">Watched", ">Mean", ">From the wall", ">Dark"
    )
    return Grid(
        "Schemes",
        heads,
        tuple(rows),
        note="Ceiling: the highest brightness at which nothing exceeds its limit"
        f" ({all_limits()}). Figures of a scheme are those of 'evenfall power HOUSE SCHEME"
        " --seconds' with the time watched.",
    )


def data_chapter(facts: Handover) -> Chapter:
    """Outputs, addresses and data leads."""
    house = facts.house
    parts: list[Part] = []
    drawings = data_lines(facts)
    for n, drawn in enumerate(drawings):
        more = f", {n + 1} of {len(drawings)}" if len(drawings) > 1 else ""
        parts.append(Figure(f"Data lines{more}", drawn, "" if n else _example(facts)))
    heads = cols("Run", "Output", ">Pixels", ">Spare", ">Slots each", "Order", ">First", ">Last")
    rows = tuple(
        (
            p.run,
            p.output or "none",
            f"{p.pixels}",
            f"{p.spares}",
            f"{p.slots_each}",
            p.order,
            _slot(p.first),
            _slot(p.last),
        )
        for p in facts.patches
    )
    parts.append(
        Grid(
            "Patch, by run",
            heads,
            rows,
            note="First and last are universe.slot, slots counted from 1; a pixel never straddles"
            " two universes. Order: of the channels on the data line.",
        )
    )
    if house.outputs:
        parts += [_leads(facts), _rates(house)]
    else:
        parts.append(Para("The house file names no output: runs are not addressed."))
    return Chapter("data", "Data and addresses", tuple(parts))


def _example(facts: Handover) -> str:
    """How a box of the drawing is read, by the first that has an address."""
    for patch in facts.patches:
        (u, s), (v, t) = patch.first, patch.last
        if u:
            return (
                f"{patch.pixels} px, {u}.{s} – {v}.{t}: so many pixels, from universe {u} slot {s}"
                f" to universe {v} slot {t}."
            )
    return "No output has a universe: pixels are counted along each output."


def _slot(at: tuple[int, int]) -> str:
    return f"{at[0]}.{at[1]}" if at[0] else "–"


def _leads(facts: Handover) -> Grid:
    rows = []
    for lead in facts.leads:
        far = "not said" if lead.length_m is None else laid_text(lead.length_m, facts.house.units)
        most = "–" if lead.hop_m is None else laid_text(lead.hop_m, facts.house.units)
        rows.append((lead.output, lead.start, lead.end, lead.wire or "not said", far, most))
    slack = laid_text(facts.bill.parts.slack_m, facts.house.units)
    heads = cols("Output", "From", "To", "Wire", ">Length", ">Unaided")
    return Grid(
        "Data leads",
        heads,
        tuple(rows),
        note="From an output: as the house file says. From run to run: as long as the power wire"
        " that joins the same ends, or straight from pixel to pixel on the drawing; ways up, down,"
        " forward and round corners are not in it. The list of parts adds to a straight one"
        f" {slack} at each end, counts none where one run goes on in the other, and takes the"
        " thinnest wire of the parts file where no lead says which. Unaided: as far as the kind"
        " passes data on. Lay − beside every data wire.",
    )


def _rates(house: House) -> Grid:
    rows = tuple(
        (
            rate.output,
            f"{rate.pixels}",
            f"{rate.frame_ms:.2f} ms",
            f"{number(rate.most_hz)} Hz",
            "–" if rate.asked_hz is None else f"{rate.asked_hz:g} Hz",
        )
        for rate in refreshes(house)
    )
    heads = cols("Output", ">Pixels", ">One frame takes", ">At most", ">Asked")
    return Grid("How often outputs can be sent", heads, rows)
