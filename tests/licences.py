"""Lists the licence of everything that Evenfall needs, as its own metadata tell it.

`.venv/bin/python tests/licences.py` writes `tests/licences.txt` anew from what is installed, which
has to be what `.ci/lock.txt` says; `tests/test_installation.py` holds the list to that.
"""

from __future__ import annotations

import re
import tomllib
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from pathlib import Path

from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

LIST = Path(__file__).with_name("licences.txt")
ROOT = Path(__file__).resolve().parents[1]
LOCK = ROOT / ".ci" / "lock.txt"
#: Who needs it, told in this order; the first is everybody who installs Evenfall.
EXTRAS = ("", "pdf", "video", "cluster", "test", "dev")
HEAD = """\
# What Evenfall needs, who needs it (everybody, or an extra of pyproject.toml), and its licence as
# its own metadata tell it. Written by tests/licences.py on Linux with CPython 3.11; what other
# systems and Pythons need in addition (colorama, brotlicffi), .ci/lock.txt has too.
"""


def asked(extra: str) -> list[Requirement]:
    """What `pyproject.toml` asks for: in an extra, or for everybody."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = project["optional-dependencies"][extra] if extra else project["dependencies"]
    return [Requirement(each) for each in lines]


def needed(wanted: list[Requirement]) -> dict[str, Distribution | None]:
    """Everything that must be installed for `wanted`, by name; None for what is not installed."""
    found: dict[str, Distribution | None] = {}
    todo = [(each, "") for each in wanted]
    done = set()
    while todo:
        wish, of = todo.pop()
        key = (canonicalize_name(wish.name), tuple(sorted(wish.extras)))
        if (wish.marker and not wish.marker.evaluate({"extra": of})) or key in done:
            continue
        done.add(key)
        try:
            found[key[0]] = dist = distribution(wish.name)
        except PackageNotFoundError:
            found[key[0]] = None
            continue
        for line in dist.requires or ():
            todo += [(Requirement(line), each) for each in ("", *wish.extras)]
    return found


def locked() -> dict[str, set[str]]:
    """The versions of every package of the lock: several where Pythons differ."""
    pinned: dict[str, set[str]] = {}
    for name, version in re.findall(r"^([\w.-]+)==([\w.]+)", LOCK.read_text("utf-8"), re.MULTILINE):
        pinned.setdefault(canonicalize_name(name), set()).add(version)
    return pinned


def told(dist: Distribution) -> str:
    """Its licence: the expression (PEP 639), or else the classifiers, or else the free line."""
    about = dist.metadata
    if expression := about.get("License-Expression"):
        return expression
    sorts = [each for each in about.get_all("Classifier") or [] if each.startswith("License ::")]
    words = [each.split(" :: ")[-1] for each in sorts]
    if words and words != ["OSI Approved"]:
        return "; ".join(words)
    return ((about.get("License") or "").splitlines() or ["not told"])[0]


def listed() -> dict[str, tuple[str, str]]:
    """The list as it stands: name → licence, who needs it."""
    lines = LIST.read_text("utf-8").splitlines()
    rows = [each.split(maxsplit=2) for each in lines if not each.startswith("#")]
    return {name: (licence, whom) for name, whom, licence in rows}


def main() -> None:
    """Write the list anew."""
    rows: dict[str, tuple[str, str]] = {}
    for extra in EXTRAS:
        for name, dist in needed(asked(extra)).items():
            if name not in rows and dist is not None:
                rows[name] = (told(dist), extra or "everybody")
    text = "".join(f"{n:<20} {whom:<10} {licence}\n" for n, (licence, whom) in sorted(rows.items()))
    LIST.write_text(HEAD + text, encoding="utf-8")


if __name__ == "__main__":
    main()
