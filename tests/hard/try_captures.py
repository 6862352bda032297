"""Captures changed at random: packets, and at the end how far they could be read; nothing else."""

from __future__ import annotations

import sys
from pathlib import Path

from mutants import scratched
from trial import MOST_MB, Asked, Hung, Memory, Seen, cpu_s, timed

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "data"))
import captures

from layouts.errors import EvenfallError
from sim.data.capture import CaptureEnd, captured
from sim.data.links import Heard, heard_in
from sim.data.packets import packet_of


def sound(octets: list[bytes]) -> list[bytes]:
    """Captures of those packets in every form that is read."""
    timed_ns = [(k * 25_000_000, one) for k, one in enumerate(octets)]
    blocks = b"".join(
        captures.enhanced(one, k * 25_000) + captures.simple(one) + captures.old(one, k * 25_000)
        for k, one in enumerate(octets)
    )
    turned = b"".join(captures.enhanced(one, k, ">") for k, one in enumerate(octets))
    return [
        captures.pcap(timed_ns),
        captures.pcap(timed_ns, order=">", nanoseconds=True),
        captures.section() + captures.interface(resolution=9, offset_s=5) + blocks,
        captures.section(">") + captures.interface(">") + turned,
    ]


def mangled_captures(asked: Asked, seen: Seen) -> None:
    """`asked.count` changed captures, and what stands in their packets read as well."""
    chance = asked.chance("packets")
    each = sound([chance.randbytes(chance.randint(0, 200)) for _ in range(6)])
    file = asked.folder / "show.pcapng"
    memory = Memory()
    for number in range(asked.count):
        data = scratched(each[number % len(each)], asked.chance("captures", number))
        file.write_bytes(data)
        what, before = f"capture {number}", len(seen.wrong)
        seen.cases += 1
        began, wrong = cpu_s(), ""
        try:
            with timed():
                told = list(captured(file))
                for one in told:
                    if not isinstance(one, CaptureEnd):
                        heard = heard_in(one.link, one.octets)
                        packet_of(heard.payload if isinstance(heard, Heard) else one.octets)
            if not told or not isinstance(told[-1], CaptureEnd):
                wrong = "it does not say how it ended"
            elif sum(isinstance(one, CaptureEnd) for one in told) != 1:
                wrong = "it ends twice"
            else:
                seen.ended["damaged" if told[-1].why else "whole"] += 1
        except EvenfallError as refusal:
            seen.ended["refused"] += 1
            wrong = "" if str(file) in str(refusal) else f"a refusal without the file: {refusal}"
        except Hung as hung:
            wrong = f"it went on {hung}"
        except Exception as error:
            wrong = f"{type(error).__name__}: {error}"
        seen.took(cpu_s() - began, what)
        seen.most_mb = max(seen.most_mb, more := memory.more_mb())
        if more > MOST_MB:
            wrong = wrong or f"{more:.0f} MB"
        if wrong:
            seen.wrong.append(f"{what}: {wrong}")
        if len(seen.wrong) > before and asked.keep is not None:
            asked.keep.joinpath(f"capture-{number}.pcapng").write_bytes(data)
