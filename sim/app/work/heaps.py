"""The heaps that threads get their memory from: few, so that what one frees another can use.

glibc gives every thread a heap of its own, up to eight a core. A window works on a dozen threads
that make and drop pictures of many sizes, and in each heap holes remain: measured over 40 changes
of size in ten windows, 81 MB in use lay in 560 MB taken from the system, with two heaps in 240 MB.
"""

from __future__ import annotations

import ctypes
import os
import sys

#: A parameter of mallopt (3), from glibc's malloc.h.
_M_ARENA_MAX = -8
#: One for the window's thread and one for those beside it.
HEAPS = 2


def share_heaps() -> bool:
    """Have all threads that start from now on share two heaps; whether that could be had.

    What the environment says (MALLOC_ARENA_MAX, GLIBC_TUNABLES) stays as the person set it.
    """
    said = "MALLOC_ARENA_MAX" in os.environ or "arena_max" in os.environ.get("GLIBC_TUNABLES", "")
    if said or not sys.platform.startswith("linux"):
        return False
    try:
        return bool(ctypes.CDLL("libc.so.6").mallopt(_M_ARENA_MAX, HEAPS))
    except (OSError, AttributeError):  # another C library: it has its own ways
        return False
