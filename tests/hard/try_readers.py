"""Files changed at random through every reader: a value, or refusals that name their places."""

from __future__ import annotations

import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from mutants import bombs, mutant, scratched, sums
from texts import TEXTS, written_beside
from trial import MOST_MB, Asked, Hung, Memory, Seen, cpu_s, timed

from layouts.errors import EvenfallError, InputError, Problem


@dataclass(frozen=True)
class Reader:
    """How one sort of file is read: its name, what it looks like sound, and who reads it."""

    name: str
    file: str
    sound: tuple[str, ...]
    read: Callable[[Path], Any]
    places: bool = True  # refusals name line and column


def readers(folder: Path) -> list[Reader]:
    """Everything that reads what somebody wrote, on files in `folder`."""
    from effects import load_scheme
    from layouts import kinds, load_house
    from layouts.faults import load_faults
    from layouts.sightings import load_sightings
    from sim.app.work import kept, kept_drawing
    from sim.parts import load_parts
    from sim.report.plan_sweep import results_in
    from sim.report.prices import load_prices
    from sim.season import load_season
    from sim.upkeep.diagnosis.priors import load_priors
    from sim.upkeep.rates import load_rates
    from sim.upkeep.readings import load_readings

    written_beside(folder)
    house = load_house(folder / "sound.yaml")
    here = replace(house, file=str(folder / "house.yaml"))
    made: dict[str, Callable[[Path], Any]] = {
        "house": load_house,
        "scheme": lambda path: load_scheme(path, house),
        "season": lambda path: load_season(path, house, year=2026),
        "prices": lambda path: load_prices(here, kinds()),
        "parts": lambda path: load_parts(path, house),
        "faults": lambda path: load_faults(path, house),
        "sightings": lambda path: load_sightings(path, house),
        "readings": lambda path: load_readings(path, house),
        "rates": load_rates,
        "priors": load_priors,
    }
    found = [Reader(name, TEXTS[name].file, TEXTS[name].sound, read) for name, read in made.items()]
    svg, unsaved, drawing, sweep = (TEXTS[n] for n in ("svg", "unsaved", "drawing", "sweep"))
    return [
        *found,
        Reader("svg", svg.file, svg.sound, _svg_reader()),
        Reader("sweep", sweep.file, sweep.sound, results_in, places=False),
        Reader("unsaved", unsaved.file, unsaved.sound, _text(kept.from_json), places=False),
        Reader("drawing", drawing.file, drawing.sound, _text(kept_drawing.from_json), places=False),
    ]


def _svg_reader() -> Callable[[Path], Any]:
    """A drawing up to the house that it becomes, as `new --svg` reads it."""
    from layouts import house_from
    from layouts.catalogue import kinds, materials
    from layouts.new_file import rounded
    from layouts.svg import house_of_page, read_page
    from sim.cli.new_svg import KIND, ON_HEDGES, PROFILE, nearest_material

    nearest = nearest_material()

    def reading(path: Path) -> Any:
        page = read_page(path)
        drawn = house_of_page(
            page, materials=materials(), nearest=nearest, kind=kinds()[KIND],
            hedge_kind=kinds()[ON_HEDGES], profile=PROFILE, name="House", units="m", width="12 m",
        )  # fmt: skip
        try:
            return house_from(rounded(drawn.data))
        except InputError as error:  # told with the drawing's name, without a place in it
            raise InputError(
                [Problem(str(path), 1, 1, "does not hold", str(error)[:200])]
            ) from None

    return reading


def _text(read: Callable[[str], Any]) -> Callable[[Path], Any]:
    """What the window kept: it is decoded as there, where what is no text counts as nothing."""

    def reading(path: Path) -> Any:
        try:
            return read(path.read_text(encoding="utf-8"))
        except UnicodeDecodeError:
            return None

    return reading


def refusal_is_wrong(error: EvenfallError, path: Path, places: bool) -> str:
    """What is wrong with how a file was refused; "" where nothing is."""
    text = str(error)
    if not all(one.isprintable() or one == "\n" for one in text):
        return f"a refusal with control characters: {text!r}"
    if len(text) > 30_000:
        return f"a refusal of {len(text)} characters"
    if not places:
        return "" if str(path) in text else f"a refusal without the file: {text}"
    if not isinstance(error, InputError):
        return f"a refusal without a place: {text}"
    ends = len(path.read_bytes().splitlines()) + 1
    for problem in error.problems:
        if not (1 <= problem.line <= max(ends, 1) and problem.column >= 1 and problem.what):
            if Path(problem.file) != path:
                continue
            return f"a place outside the file: {problem}"
    return ""


def try_one(reader: Reader, data: bytes, path: Path, seen: Seen, what: str) -> bool:
    """Read one file; whether it was accepted."""
    path.write_bytes(data)
    began, accepted = cpu_s(), False
    seen.cases += 1
    try:
        with timed(), warnings.catch_warnings():
            warnings.simplefilter("error")  # nobody reads lines of numpy's on stderr
            reader.read(path)
    except EvenfallError as error:
        seen.ended["refused"] += 1
        wrong = refusal_is_wrong(error, path, reader.places)
    except Hung as hung:
        wrong = f"it went on {hung}"
    except Exception as error:
        at = error.__traceback__
        while at is not None and at.tb_next is not None:
            at = at.tb_next
        where = f"{at.tb_frame.f_code.co_filename}:{at.tb_lineno}" if at else ""
        wrong = f"{type(error).__name__}: {error} at {where}"
    else:
        accepted, wrong = True, ""
        seen.ended["accepted"] += 1
    seen.took(cpu_s() - began, what)
    if wrong:
        seen.wrong.append(f"{what}: {wrong}")
    return accepted


def cases(asked: Asked, each: list[Reader]) -> Iterator[tuple[Reader, bytes, str]]:
    """Mutants, a reader after the other; `what` names the case, so that it can be made again."""
    for number in range(asked.count):
        reader = each[number % len(each)]
        chance = asked.chance("readers", number)
        sound = chance.choice(reader.sound)
        yield reader, mutant(sound, chance), f"{reader.name} {number}"


def mutated(asked: Asked, seen: Seen) -> None:
    """`asked.count` changed files, spread over all readers."""
    each = readers(asked.folder)
    for reader in each:  # what is sound is read, and warms up
        for sound in reader.sound:
            path = asked.folder / reader.file
            path.write_text(sound, encoding="utf-8")
            reader.read(path)
    memory = Memory()
    for reader, data, what in cases(asked, each):
        path = asked.folder / reader.file
        before = len(seen.wrong)
        try_one(reader, data, path, seen, what)
        if reader.name == "prices":
            path.unlink()  # it would be read with houses
        seen.most_mb = max(seen.most_mb, more := memory.more_mb())
        if more > MOST_MB:
            seen.wrong.append(f"{what}: {more:.0f} MB")
        if len(seen.wrong) > before and asked.keep is not None:
            asked.keep.joinpath(f"{what.replace(' ', '-')}-{reader.file}").write_bytes(data)


def choked(asked: Asked, seen: Seen) -> None:
    """Bombs, depths and sizes, through every reader of YAML; all must be refused."""
    memory = Memory()
    each = [one for one in readers(asked.folder) if one.places and one.name != "svg"]
    for number, reader in enumerate(each):
        head = reader.sound[0].rstrip("\n") + "\n"
        made = list(bombs(head).items())
        if number == 0:
            sound = reader.sound[0]
            made += [(what, sound.replace("n: 3", text)) for what, text in sums().items()]
        # for every reader others, where not all are asked for
        some = asked.chance(reader.name).sample(made, min(asked.count, len(made)))
        for name, text in some:
            path = asked.folder / reader.file
            if try_one(reader, text.encode(), path, seen, f"{reader.name} with {name}"):
                seen.wrong.append(f"{reader.name} with {name}: it was accepted")
            seen.most_mb = max(seen.most_mb, memory.more_mb())
            if reader.name == "prices":
                path.unlink()


def scratched_bytes(asked: Asked, seen: Seen) -> None:
    """Binary noise for readers of text."""
    each = readers(asked.folder)
    for number in range(asked.count):
        reader = each[number % len(each)]
        chance = asked.chance("noise", number)
        data = scratched(chance.randbytes(chance.randint(1, 400)), chance)
        try_one(reader, data, asked.folder / reader.file, seen, f"noise {reader.name} {number}")
