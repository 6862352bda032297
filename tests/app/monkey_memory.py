"""What memory the monkey's process holds."""

from __future__ import annotations

import ctypes
import gc
import os
from pathlib import Path


def resident_mb() -> float:
    """What the process holds in memory [MB], once what is free was given back."""
    gc.collect()
    try:
        ctypes.CDLL("libc.so.6").malloc_trim(0)
        pages = int(Path("/proc/self/statm").read_text().split()[1])
    except (OSError, AttributeError):
        return float("nan")
    return pages * os.sysconf("SC_PAGE_SIZE") / 1e6


def in_use_mb() -> float:
    """What of its memory the C library says is in use [MB]; the rest are holes between."""

    class Told(ctypes.Structure):
        _fields_ = [(name, ctypes.c_size_t) for name in (
            "arena", "ordblks", "smblks", "hblks", "hblkhd", "usmblks", "fsmblks", "uordblks",
            "fordblks", "keepcost")]  # fmt: skip

    try:
        ask = ctypes.CDLL("libc.so.6").mallinfo2
    except (OSError, AttributeError):
        return float("nan")
    ask.restype = Told
    told = ask()
    return float(told.uordblks + told.hblkhd) / 1e6
