"""What is really broken in a house of the bench, what people tell of it, and what tests answer.

Everything seen comes from the true model (`sim.upkeep.broken`), with errors of people and meters
drawn as stated below; the diagnosis does not know of any of it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from layouts.fault_lines import wire_text
from layouts.faults import Fault
from layouts.sighting_entries import pixels_of, point_of
from layouts.sightings import LOOKS, During, Sighting
from sim.circuit.loading import wall_w
from sim.circuit.loads import loads_of
from sim.upkeep.broken import BrokenFrame, broken, frame_of_broken
from sim.upkeep.diagnosis.case import Case
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.notation import stretches
from sim.upkeep.diagnosis.points import node_of
from sim.upkeep.diagnosis.records import NextTest
from sim.upkeep.signal import NOTHING


@dataclass(frozen=True)
class People:
    """How well people see and meters measure; shares, and standard deviations."""

    miscount: float = 0.03  # an end of a stretch, by one pixel
    misjudged: float = 0.02  # a stretch is called something else
    unsaid: float = 0.3  # a run in order is not spoken of
    volts: tuple[float, float] = (0.005, 0.01)  # share, [V]
    watts: tuple[float, float] = (0.02, 0.3)  # share, [W]
    ohms: tuple[float, float] = (0.01, 0.002)  # share, [Ω]


USUAL = People()
CAREFUL = People(miscount=0.0, misjudged=0.0, unsaid=0.0)


@dataclass(frozen=True, eq=False)
class Truth:
    """What is really broken, and what that does while each thing is shown."""

    kind: str
    faults: tuple[Fault, ...]
    output: int
    frames: dict[During, BrokenFrame]
    looks: dict[During, np.ndarray]


def drawn(
    of: Case, random: np.random.Generator, kind: str | None = None, tries: int = 1
) -> Truth | None:
    """One fault at random by the priors, of `kind` if said; None where it shows in no pixel."""
    for _ in range(tries):
        some = [c for c in of.causes if kind in (None, c.kind)]
        if not some:
            return None
        weight = np.array([cause.weight for cause in some])
        cause = some[random.choice(len(some), p=weight / weight.sum())]
        fault = somewhere(cause, of, random)
        made = truth(of, cause.kind, (fault,), cause.output, int(random.integers(1 << 30)))
        if made is not None:
            return made
    return None


def somewhere(cause: Breakage, of: Case, random: np.random.Generator) -> Fault:
    """A fault of that kind at one of the places of a cause, as bad as it may be."""
    fault = cause.faults[0]
    if fault.position is not None and cause.last > cause.first:
        fault = replace(fault, position=int(random.integers(cause.first, cause.last + 1)))
    if fault.kind == "joint":
        fault = replace(fault, ohm=float(np.exp(random.uniform(np.log(0.1), np.log(3)))))
    elif fault.kind == "short":
        fault = replace(fault, ohm=float(random.uniform(0.02, 0.2)))
    elif fault.kind == "sag":
        volts = next(s.volts for s in of.rig.house.supplies if s.name == fault.supply)
        fault = replace(fault, volts=float(volts * random.uniform(0.6, 0.9)))
    elif fault.kind == "stuck":
        colour = [(0, 255, 0), (255, 0, 0), (0, 0, 255), (255, 255, 255)][random.integers(4)]
        fault = replace(fault, colour=colour)
    return fault


def truth(of: Case, kind: str, faults: tuple[Fault, ...], output: int, seed: int) -> Truth | None:
    """What those faults do; None where no pixel shows it."""
    healthy = broken(of.rig, ())
    ill = broken(of.rig, faults, seed=seed)
    frames, looks = {}, {}
    for during in ("scheme", "white"):
        codes = of.sent[during].codes
        if during == "white" and np.array_equal(codes, of.sent["scheme"].codes):
            frames[during], looks[during] = frames["scheme"], looks["scheme"]
            continue
        frames[during] = frame_of_broken(ill, codes[None])
        usual = frame_of_broken(healthy, codes[None]).light[0]
        looks[during] = _looks(frames[during], usual, of.sent[during].visible)
    if not (looks["scheme"] > 0).any():
        return None
    return Truth(kind, faults, output, frames, looks)  # type: ignore[arg-type]


def _looks(frame: BrokenFrame, usual: np.ndarray, visible: np.ndarray) -> np.ndarray:
    light = frame.light[0]
    lit = usual > 1e-3
    share = np.where(lit, light / np.maximum(usual, 1e-9), 1.0)
    extra = np.where(lit, 0.0, light).max(axis=1)
    out = np.where((share.min(axis=1) < 0.75) | (share.max(axis=1) > 1.4) | (extra > 0.1), 2, 0)
    out[frame.flickers[0]] = 3
    out[light.max(axis=1) < 0.03 * usual.max(axis=1)] = 1
    out[~visible] = 0
    return out.astype(np.int8)


def told(
    of: Case,
    real: Truth,
    during: During,
    where: np.ndarray,
    random: np.random.Generator,
    people: People = USUAL,
) -> list[Sighting]:
    """What somebody who looks at the pixels `where` (K,) tells, with errors."""
    house = of.rig.house
    out = []
    looked = np.zeros(len(house.pixels), dtype=bool)
    looked[where] = True
    close = len(where) < 20
    looks = np.where(looked, real.looks[during], 0)
    found = sorted(stretches(house, looks), key=lambda each: -len(pixels_of(each[0], house)))
    for text, look in found[:10]:
        pixels = pixels_of(text, house)
        run = house.runs[house.pixels.run[pixels[0]]]
        first, last = int(pixels[0]) - run.first, int(pixels[-1]) - run.first + 1
        if len(pixels) > 1:
            if first > 0 and close is False and random.random() < people.miscount:
                first += int(random.choice([-1, 1]))
            if last < run.count and close is False and random.random() < people.miscount:
                last += int(random.choice([-1, 1]))
        said = look if random.random() >= people.misjudged else int(random.integers(1, 4))
        words = f"{run.name}[{first}:{max(last, first + 1)}]"
        out.append(Sighting(LOOKS[said], words, pixels_of(words, house), during=during))
    for run in house.runs:
        mine = np.arange(run.first, run.first + run.count)
        if looked[mine].all() and not looks[mine].any() and random.random() >= people.unsaid:
            out.append(Sighting("lit", run.name, mine, during=during))
    return out


def answered(
    of: Case,
    real: Truth,
    test: NextTest,
    random: np.random.Generator,
    people: People = USUAL,
) -> list[Sighting]:
    """What comes of a test, with errors."""
    house, during = of.rig.house, test.during
    frame, none = real.frames[during], np.zeros(0, dtype=int)
    if test.test == "look":
        where = pixels_of(test.at, house) if test.at != "all" else np.arange(len(house.pixels))
        found = told(of, real, during, where, random, people)
        run = house.runs[house.pixels.run[where[0]]]
        if len(where) < run.count:
            # Who looks closely at a few pixels tells of each.
            dark = np.concatenate([[], *(each.pixels for each in found)])
            rest = np.setdiff1d(where, dark)
            for part in np.split(rest, np.flatnonzero(np.diff(rest) > 1) + 1):
                if len(part):
                    words = f"{run.name}[{part[0] - run.first}:{part[-1] + 1 - run.first}]"
                    found.append(Sighting("lit", words, part, during=during))
        return found or [Sighting("lit", test.at, where, during=during)]
    if test.test == "volts":
        point = point_of(test.at, house)
        node = node_of(of.rig.network.topology, house, point)
        volts = sum(
            state.share * (state.solution.node_v[0, node] if _reached(state, node) else 0.0)
            for state in frame.states
        )
        share, more = people.volts
        read = max(0.0, volts * (1 + share * random.normal()) + more * random.normal())
        return [Sighting("volts", test.at, none, read, point, during=during)]
    if test.test == "ohms":
        point = point_of(test.at, house)
        share, more = people.ohms
        ohms = ohms_between(frame, node_of(of.rig.network.topology, house, point))
        read = max(0.0, ohms * (1 + share * random.normal()) + more * random.normal())
        return [Sighting("ohms", test.at, none, read, point)]
    if test.test == "watts":
        watts = sum(
            state.share
            * float(wall_w(state.solution.network, loads_of(state.solution, state.received)).mean())
            for state in frame.states
        )
        share, more = people.watts
        read = watts * (1 + share * random.normal()) + more * random.normal()
        return [Sighting("watts", "wall", none, max(0.0, read), during=during)]
    if test.test == "fuse":
        wire = next(w for w in range(len(house.wires)) if wire_text(w, house) == test.at)
        own = any(f.kind == "blown" and f.wire == wire for f in real.faults)
        then = "blown" if own or wire in frame.opened else "whole"
        return [Sighting("fuse", test.at, none, wire=wire, then=then, during=during)]
    if test.test == "new_fuse":
        wire = next(w for w in range(len(house.wires)) if wire_text(w, house) == test.at)
        then = "blows" if wire in frame.opened else "holds"
        return [Sighting("new_fuse", test.at, none, wire=wire, then=then, during=during)]
    if test.test == "continuity":
        return [_continuity(of, real, test)]
    if test.test == "swap":
        output = [each.name for each in house.outputs].index(test.at)
        first = house.run(house.outputs[output].chain[0]).first
        works = real.output == output and real.kind == "output"
        then = "lit" if works or real.looks[during][first] != 1 else "dark"
        return [Sighting("swap", test.at, none, output=output, then=then, during=during)]
    pixels = pixels_of(test.at, house)
    pixel = int(pixels[0])
    run = house.runs[house.pixels.run[pixel]]
    itself = any(
        f.kind in ("dead", "dark") and f.run == run.name and run.first + (f.position or 0) == pixel
        for f in real.faults
    )
    fed = frame.volts[0, pixel] > 0.5 * run.kind.min_v
    deaf = frame.states[0].arrives[0, pixel] == NOTHING
    lit = real.looks[during][pixel] != 1 or (deaf and fed and not itself)
    then = "lit" if lit else "dark"
    return [Sighting("bridge", test.at, pixels, then=then, during=during)]


def ohms_between(frame: BrokenFrame, node: int) -> float:
    """[Ω] between + and − at a node, all supplies unplugged, on the rails of the broken house."""
    # Pauses of supplies and supplies that are off open edges inside them: no matter, unplugged.
    net = frame.solution.network
    of, count = net.values, net.nodes
    matrix = np.zeros((2 * count, 2 * count))

    def join(a: np.ndarray, b: np.ndarray, siemens: np.ndarray) -> None:
        for i, j, sign in ((a, a, 1), (b, b, 1), (a, b, -1), (b, a, -1)):
            np.add.at(matrix, (i, j), sign * siemens)

    a, b = net.edge.T
    join(a, b, of.plus_s)
    join(a + count, b + count, of.minus_s)
    if of.shunt_s is not None:
        free = np.arange(net.free)
        join(free, free + count, of.shunt_s)
    matrix[np.diag_indices(2 * count)] += 1e-7
    push = np.zeros(2 * count)
    push[node], push[node + count] = 1.0, -1.0
    volts = np.linalg.solve(matrix, push)
    return float(volts[node] - volts[node + count])


def _continuity(of: Case, real: Truth, test: NextTest) -> Sighting:
    house = of.rig.house
    labels = [wire_text(w, house) for w in range(len(house.wires))]
    wire = labels.index(test.at) if test.at in labels else None
    pixels = np.zeros(0, dtype=int) if wire is not None else pixels_of(test.at, house)
    opened = real.frames[test.during].opened
    found = test.conductor == "plus" and wire is not None and wire in opened
    for fault in real.faults:
        at = fault.wire if fault.run is None else house.run(fault.run).first + (fault.position or 0)
        if at != (wire if wire is not None else int(pixels[0])):
            continue
        if (fault.wire is None) != (wire is None):
            continue
        found |= fault.kind == "blown" and test.conductor == "plus"
        found |= fault.kind == "open" and fault.conductor == test.conductor
    then = "open" if found else "whole"
    made = Sighting("continuity", test.at, pixels, wire=wire, then=then, during=test.during)
    return replace(made, conductor=test.conductor)


def _reached(state, node: int) -> bool:  # type: ignore[no-untyped-def]
    net = state.solution.network
    return bool(net.reach.node[node]) if node < len(net.reach.node) else True
