"""How often a diagnosis is right: faults drawn at random, sightings made from them, tests followed.

Run `python tests/bench/bench_diagnosis.py [cases] [seed]`; it prints and asserts nothing. What is
seen comes from the true model (`sim.upkeep.broken`) with errors of people and meters drawn as
stated below; the diagnosis predicts by its own quick way. Kinds of fault are drawn evenly, places
evenly within a kind; a fault that shows in no pixel is drawn again.
"""

from __future__ import annotations

import sys
import time
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from layouts import load_house
from layouts.faults import Fault
from layouts.sighting_entries import pixels_of, point_of
from layouts.sightings import LOOKS, During, Sighting
from sim.circuit.loading import wall_w
from sim.circuit.loads import loads_of
from sim.frame import rig
from sim.upkeep.broken import BrokenFrame, broken, frame_of_broken
from sim.upkeep.diagnosis import load_priors
from sim.upkeep.diagnosis.causes import Breakage
from sim.upkeep.diagnosis.diagnose import Case, case, diagnose
from sim.upkeep.diagnosis.likelihood import node_of
from sim.upkeep.diagnosis.next_test import wire_label
from sim.upkeep.diagnosis.notation import stretches
from sim.upkeep.diagnosis.records import Diagnosis, NextTest, Suspect
from sim.upkeep.signal import NOTHING

DEMO = Path(__file__).parents[2] / "demo"
KINDS = (
    *("dead", "dark", "stuck", "garbage", "open-data", "open", "joint", "open-wire"),
    *("joint-wire", "blown", "short", "off", "sag", "hiccup", "output", "common-minus"),
)
TESTS = 4
#: P of: an end of a stretch miscounted by one, a look misjudged, a run in order not spoken of.
MISCOUNT, MISJUDGED, UNSAID = 0.03, 0.02, 0.3
#: Standard deviations of a meter: share and volts; share and watts of a plug-in one.
VOLTS, WATTS = (0.005, 0.01), (0.02, 0.3)


@dataclass(frozen=True, eq=False)
class Truth:
    """What is really broken, and what that does while each thing is shown."""

    kind: str
    faults: tuple[Fault, ...]
    output: int
    frames: dict[During, BrokenFrame]
    looks: dict[During, np.ndarray]


def drawn(of: Case, random: np.random.Generator) -> Truth | None:
    """One fault at random; None where it shows in no pixel."""
    house = of.rig.house
    kind = str(random.choice(KINDS))
    run = house.runs[random.integers(len(house.runs))]
    at = int(random.integers(run.count))
    inner = int(random.integers(1, run.count))
    wire = int(random.integers(len(house.wires)))
    supply = house.supplies[random.integers(len(house.supplies))]
    output = int(random.integers(len(house.outputs)))
    head = house.outputs[output].chain[0]
    conductor = str(random.choice(["plus", "minus"]))
    ohm = float(np.exp(random.uniform(np.log(0.1), np.log(3))))
    made = {
        "dead": Fault("dead", run.name, at),
        "dark": Fault("dark", run.name, at),
        "stuck": Fault("stuck", run.name, at, colour=(0, 255, 0)),
        "garbage": Fault("garbage", run.name, at),
        "open-data": Fault("open", run.name, inner, "data"),
        "open": Fault("open", run.name, inner, conductor),  # type: ignore[arg-type]
        "joint": Fault("joint", run.name, inner, ohm=ohm),
        "open-wire": Fault("open", wire=wire, conductor=conductor),  # type: ignore[arg-type]
        "joint-wire": Fault("joint", wire=wire, ohm=ohm),
        "blown": Fault("blown", wire=wire),
        "short": Fault("short", run.name, at, ohm=float(random.uniform(0.02, 0.2))),
        "off": Fault("off", supply=supply.name),
        "sag": Fault("sag", supply=supply.name, volts=supply.volts * random.uniform(0.6, 0.9)),
        "hiccup": Fault("hiccup", supply=supply.name),
        "output": Fault("open", head, 0, "data"),
        "common-minus": Fault("garbage", head, 0),
    }[kind]
    if kind == "blown" and house.wires[wire].fuse_a is None:
        return None
    whole = kind in ("output", "common-minus")
    return truth(of, kind, (made,), output if whole else -1, int(random.integers(1 << 30)))


def truth(of: Case, kind: str, faults: tuple[Fault, ...], output: int, seed: int) -> Truth | None:
    """What those faults do; None where no pixel shows it."""
    healthy = broken(of.rig, ())
    ill = broken(of.rig, faults, seed=seed)
    frames, looks = {}, {}
    for during in ("scheme", "white"):
        codes = of.codes[during]
        if during == "white" and np.array_equal(codes, of.codes["scheme"]):
            frames[during], looks[during] = frames["scheme"], looks["scheme"]
            continue
        frames[during] = frame_of_broken(ill, codes[None])
        usual = frame_of_broken(healthy, codes[None]).light[0]
        looks[during] = _looks(frames[during], usual, of.visible[during])
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
    of: Case, real: Truth, during: During, where: np.ndarray, random: np.random.Generator
) -> list[Sighting]:
    """What somebody who looks at the pixels `where` (K,) tells, with errors."""
    house = of.rig.house
    out = []
    looked = np.zeros(len(house.pixels), dtype=bool)
    looked[where] = True
    looks = np.where(looked, real.looks[during], 0)
    found = sorted(stretches(house, looks), key=lambda each: -len(pixels_of(each[0], house)))
    for text, look in found[:6]:
        pixels = pixels_of(text, house)
        run = house.runs[house.pixels.run[pixels[0]]]
        first, last = int(pixels[0]) - run.first, int(pixels[-1]) - run.first + 1
        if len(pixels) > 1:
            if first > 0 and random.random() < MISCOUNT:
                first += int(random.choice([-1, 1]))
            if last < run.count and random.random() < MISCOUNT:
                last += int(random.choice([-1, 1]))
        said = look if random.random() > MISJUDGED else int(random.integers(1, 4))
        words = f"{run.name}[{first}:{max(last, first + 1)}]"
        out.append(Sighting(LOOKS[said], words, pixels_of(words, house), during=during))
    for run in house.runs:
        mine = np.arange(run.first, run.first + run.count)
        if looked[mine].all() and not looks[mine].any() and random.random() > UNSAID:
            out.append(Sighting("lit", run.name, mine, during=during))
    return out


def answered(of: Case, real: Truth, test: NextTest, random: np.random.Generator) -> list[Sighting]:
    """What comes of a test, with errors."""
    house, during = of.rig.house, test.during
    frame, none = real.frames[during], np.zeros(0, dtype=int)
    if test.test == "look":
        where = pixels_of(test.at, house) if test.at != "all" else np.arange(len(house.pixels))
        found = told(of, real, during, where, random)
        if not found:
            text = test.at
            found = [Sighting("lit", text, where, during=during)]
        return found
    if test.test == "volts":
        point = point_of(test.at, house)
        node = node_of(of.rig.network.topology, house, point)
        volts = sum(
            state.share * (state.solution.node_v[0, node] if _reached(state, node) else 0.0)
            for state in frame.states
        )
        read = max(0.0, volts * (1 + VOLTS[0] * random.normal()) + VOLTS[1] * random.normal())
        return [Sighting("volts", test.at, none, read, point, during=during)]
    if test.test == "watts":
        watts = sum(
            state.share
            * float(wall_w(state.solution.network, loads_of(state.solution, state.received)).mean())
            for state in frame.states
        )
        read = watts * (1 + WATTS[0] * random.normal()) + WATTS[1] * random.normal()
        return [Sighting("watts", "wall", none, max(0.0, read), during=during)]
    if test.test == "fuse":
        wire = next(w for w in range(len(house.wires)) if wire_label(house, w) == test.at)
        own = any(f.kind == "blown" and f.wire == wire for f in real.faults)
        then = "blown" if own or wire in frame.opened else "whole"
        return [Sighting("fuse", test.at, none, wire=wire, then=then, during=during)]
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


def _reached(state, node: int) -> bool:  # type: ignore[no-untyped-def]
    net = state.solution.network
    return bool(net.reach.node[node]) if node < len(net.reach.node) else True


def is_right(suspect: Suspect, real: Truth, slack: int = 0) -> bool:
    """Whether one of the causes of a suspect is what is broken, at its very place."""
    return any(_matches(cause, real, slack) for cause in suspect.causes)


def _matches(cause: Breakage, real: Truth, slack: int) -> bool:
    fault, (true,) = cause.faults[0], real.faults
    if cause.parts:
        return False
    if (real.kind == "output") != (cause.kind == "output"):
        # A port that sends nothing and a lead that is open are not the same repair.
        return False
    plain = ("kind", "conductor", "wire", "supply", "run")
    if any(getattr(fault, name) != getattr(true, name) for name in plain):
        return False
    if true.position is None:
        return True
    return cause.first - slack <= true.position <= cause.last + slack


def followed(
    of: Case, real: Truth, random: np.random.Generator, tests: int = TESTS
) -> Iterator[tuple[Diagnosis, list[Sighting]]]:
    """The diagnosis after first sightings, and after each test that is asked for."""
    whole = np.arange(len(of.rig.house.pixels))
    seen = told(of, real, "scheme", whole, random)
    for turn in range(tests + 1):
        found = diagnose(of, seen, test=turn < tests)
        yield found, seen
        if found.next is None:
            return
        seen = seen + answered(of, real, found.next, random)


def main() -> None:
    """Print how often the first and the first three suspects are right, kind by kind."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else 1
    random = np.random.default_rng(seed)
    priors = load_priors()
    every: dict[str, list[tuple[bool, bool, bool, int]]] = defaultdict(list)
    for name in ("cottage", "townhouse", "bungalow"):
        rigged = rig(load_house(DEMO / name / "house.yaml"))
        of = case(rigged, priors)
        of.all_of("scheme")  # compiles
        fresh = case(rigged, priors)
        began = time.perf_counter()
        fresh.all_of("scheme")
        print(f"{name}: {len(of.causes)} causes in {time.perf_counter() - began:.1f} s")
        done, slowest, bits = 0, 0.0, []
        while done < count:
            real = drawn(of, random)
            if real is None:
                continue
            done += 1
            turns, found = 0, None
            began = time.perf_counter()
            for found, _ in followed(of, real, random):
                slowest = max(slowest, time.perf_counter() - began)
                if turns == 0:
                    bits.append(found.entropy_bits)
                turns += 1
                began = time.perf_counter()
            first = is_right(found.suspects[0], real)
            three = any(is_right(each, real) for each in found.suspects[:3])
            near = is_right(found.suspects[0], real, 2)
            for key in (real.kind, f"= {name}", "= all"):
                every[key].append((first, near, three, turns - 1))
            if not first and "-v" in sys.argv:
                _tell(real, found)
        print(f"  slowest diagnosis with its next test {slowest:.2f} s")
        print(f"  {np.mean(bits):.2f} bits left after the first sightings")
    print(f"{'':16}cases first  ±2 px  in 3  tests")
    for key, rows in sorted(every.items()):
        first, near, three, tests = np.mean(rows, axis=0)
        print(f"{key:16}{len(rows):5} {first:5.0%} {near:6.0%} {three:5.0%} {tests:6.2f}")


def _tell(real: Truth, found: Diagnosis) -> None:
    print("  WRONG", real.kind, real.faults[0])
    for each in found.seen:
        print("     seen", each.what, each.text, each.value, each.then, each.during)
    for each in found.suspects[:3]:
        causes = [(c.kind, c.faults[0].run, c.faults[0].wire, c.first) for c in each.causes[:3]]
        print(f"     {each.probability:.3f} {len(each.causes)} {causes}")
    print("     none", round(found.none, 3), found.why_no_test)


if __name__ == "__main__":
    main()
