"""`evenfall new DIR`: a starter house; or one from measurements, a photograph, a drawing, another.

Every flag is text here, so that all that is wrong with a call can be told at once.
"""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

import typer

from sim.cli.common import console

FROM_FORM = "From measurements"
FROM_PHOTO = "From a photograph"
FROM_OTHER = "From a drawing or another house"
Text = str | None
Texts = list[str] | None

#: What each source of a house takes besides itself.
TAKES = {
    "form": {
        *("width", "eave", "pitch", "storeys", "facing", "garage", "garage-width", "porch"),
        *("porch-depth", "dormers", "chimney", "overhang", "depth", "wall", "roof", "dark"),
        *("kind", "units", "name", "dialogue"),
    },
    "photo": {"point", "eaves", "length", "viewer", "units", "name"},
    "svg": {"width", "units", "name"},
    "from-template": {"set"},
}


def _option(flag: str, metavar: str, text: str, panel: str = FROM_FORM) -> typer.models.OptionInfo:
    option: typer.models.OptionInfo = typer.Option(
        f"--{flag}", metavar=metavar, help=text, rich_help_panel=panel
    )
    return option


def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to write into.")],
    form: Annotated[
        Text, _option("form", "FORM", "gable, cross-gable, hip, gambrel, shed or flat: the roof.")
    ] = None,
    width: Annotated[
        Text, _option("width", "LENGTH", "Of the front without garage: '40 ft', 12.5m.")
    ] = None,
    eave: Annotated[
        Text, _option("eave", "LENGTH", "From the ground to the lower edge of the fascia.")
    ] = None,
    pitch: Annotated[Text, _option("pitch", "PITCH", "6/12, 30° or '50 %'.")] = None,
    storeys: Annotated[
        Text, _option("storeys", "N", "1 to 3; what has no room below the eave is in the roof.")
    ] = None,
    facing: Annotated[
        Text, _option("facing", "SIDE", "gable or eave: what the street sees of the roof.")
    ] = None,
    garage: Annotated[Text, _option("garage", "SIDE", "left, right or none.")] = None,
    garage_width: Annotated[
        Text, _option("garage-width", "LENGTH", "One door, or two from 5.4 m.")
    ] = None,
    porch: Annotated[Text, _option("porch", "LENGTH", "How long it is, or none.")] = None,
    porch_depth: Annotated[
        Text, _option("porch-depth", "LENGTH", "How far it stands forward.")
    ] = None,
    dormers: Annotated[Text, _option("dormers", "N", "On the slope that faces the street.")] = None,
    chimney: Annotated[Text, _option("chimney", "SIDE", "left, right or none.")] = None,
    overhang: Annotated[
        Text, _option("overhang", "LENGTH", "From the wall to the fascia; 45 cm if not said.")
    ] = None,
    depth: Annotated[
        Text, _option("depth", "LENGTH", "From front to back: with the pitch, the ridge's height.")
    ] = None,
    wall: Annotated[
        Text, _option("wall", "MATERIAL", "`evenfall list materials` names them.")
    ] = None,
    roof: Annotated[Text, _option("roof", "MATERIAL", "What covers the roof.")] = None,
    dark: Annotated[
        bool, typer.Option("--dark", help="No light in the windows.", rich_help_panel=FROM_FORM)
    ] = False,
    kind: Annotated[
        Text, _option("kind", "KIND", "Pixels; `evenfall list kinds` names them.")
    ] = None,
    dialogue: Annotated[
        bool,
        typer.Option(
            "--dialogue",
            help="Measure in a window; other flags are what it begins with.",
            rich_help_panel=FROM_FORM,
        ),
    ] = False,
    photo: Annotated[
        Path | None, _option("photo", "FILE", "A picture of the house.", FROM_PHOTO)
    ] = None,
    point: Annotated[
        Texts, _option("point", "U,V=X,Y", "A known point of the wall; again for more.", FROM_PHOTO)
    ] = None,
    eaves: Annotated[
        Texts,
        _option("eaves", "U,V U,V…", "Three or more pixels along a straight edge.", FROM_PHOTO),
    ] = None,
    length: Annotated[
        Texts, _option("length", "U,V U,V=L", "Along the wall, level or upright.", FROM_PHOTO)
    ] = None,
    viewer: Annotated[
        Text, _option("viewer", "LENGTH", "From the camera to the wall.", FROM_PHOTO)
    ] = None,
    svg: Annotated[
        Path | None, _option("svg", "FILE", "Filled shapes and lines; --width.", FROM_OTHER)
    ] = None,
    from_template: Annotated[
        Path | None, _option("from-template", "FILE", "A house with `measures`.", FROM_OTHER)
    ] = None,
    sets: Annotated[
        Texts, _option("set", "NAME=VALUE", "One of its measures; again for more.", FROM_OTHER)
    ] = None,
    units: Annotated[
        Text, typer.Option("--units", help="Of the file: m, cm, mm, ft or in.")
    ] = None,
    name: Annotated[Text, typer.Option("--name", help="Of the house.")] = None,
) -> None:
    """Write a house with schemes, or a commented starter; never overwrites a file."""
    texts = {
        **{"form": form, "width": width, "eave": eave, "pitch": pitch, "storeys": storeys},
        **{"facing": facing, "garage": garage, "garage_width": garage_width, "porch": porch},
        **{"porch_depth": porch_depth, "dormers": dormers, "chimney": chimney},
        **{"overhang": overhang, "depth": depth, "wall": wall, "roof": roof, "kind": kind},
        "name": name,
    }
    said = {key: text for key, text in texts.items() if text is not None}
    others = {
        **{"photo": photo, "svg": svg, "from_template": from_template, "set": sets, "point": point},
        **{"eaves": eaves, "length": length, "viewer": viewer, "units": units},
        **{"dark": dark or None, "dialogue": dialogue or None},
    }
    source = source_of({*said, *(key for key, value in others.items() if value is not None)})
    if dialogue:
        from sim.cli.new_dialogue import from_dialogue, show

        if written := from_dialogue(folder, said, units, lit=not dark):
            _tell(written, plan=True)
            show(written)
    elif source == "form":
        from sim.cli.new_form import from_form, measures_of_flags

        written = from_form(folder, measures_of_flags(said, units, lit=not dark))
        _tell(written, plan=True)
    elif photo is not None:
        from sim.cli.new_photo import from_photo

        points, lengths = point or [], length or []
        written = from_photo(folder, photo, points, eaves or [], lengths, viewer, units, name)
        _tell(written)
        if written and not (points or lengths):  # marked in a window: drawn on in the next
            _draw(written[0])
    elif svg is not None:
        from sim.cli.new_svg import from_svg

        _tell(from_svg(folder, svg, width, units, name))
    elif from_template is not None:
        from sim.cli.new_template import from_template as made_from_template

        _tell(made_from_template(folder, from_template, sets or []))
    else:
        from layouts import write_starter

        _tell(list(write_starter(folder)))


def source_of(given: set[str]) -> str:
    """What the house is made from, "" for the starter.

    Raises InputError with every flag that does not go with it.
    """
    from layouts.errors import InputError, Problem

    flags = {key.replace("_", "-") for key in given}
    measured = {"form"} if "dialogue" in flags else set()
    sources = [source for source in TAKES if source in flags | measured]
    if len(sources) > 1:
        told = " and ".join(f"--{source}" for source in sources)
        raise InputError([Problem(told, 0, 0, "a house comes from one of them", "leave one out")])
    source = sources[0] if sources else ""
    problems = []
    for flag in sorted(flags - TAKES.get(source, set()) - {source}):
        takers = " or ".join(f"--{each}" for each in TAKES if flag in TAKES[each])
        what = f"it goes with {takers}"
        do = f"write {takers.split(' or ')[0]} too, or leave it out"
        problems.append(Problem(f"--{flag}", 0, 0, what, "leave it out" if source else do))
    if problems:
        raise InputError(problems)
    return source


def _tell(written: list[Path], *, plan: bool = False) -> None:
    """What was written, and what to call next; of a window that was left, that nothing was."""
    from layouts.file_names import SCHEME_ENDING

    out = console()
    if not written:
        out.print("Left; nothing is written.")
        return
    for path in written:
        out.print(str(path), soft_wrap=True)
    house = next(path for path in written if path.name == "house.yaml")
    schemes = [path for path in written if path.name.endswith(SCHEME_ENDING)]
    calls = [["plan", str(house)]] if plan else []
    if schemes:
        calls.append(["preview", str(house), str(schemes[0])])
    else:
        calls.append(["check", str(house)])
    for number, call in enumerate(calls):
        told = shlex.join(["evenfall", *call])
        out.print(f"{'then: ' if number else 'Next: '}{told}", soft_wrap=True)


def _draw(house: Path) -> None:
    """The house just written, in the window with its drawing tools, where there is a display."""
    from sim.cli.common import announce_compiling
    from sim.cli.preview import has_display

    if not has_display():
        return
    announce_compiling()
    from sim.app import run_window

    run_window(house, drawing=True)
