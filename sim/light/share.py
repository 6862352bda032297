"""Work on all cores: the same kernel on every core, each with its share of the rows.

The kernels release the interpreter's lock, so plain threads do. They may be called from several
threads at once (a window that draws while it prepares the next scene), which not every threading
layer of numba's own parallel loops allows.
"""

from __future__ import annotations

import os
import threading
from collections.abc import Callable
from typing import Any

MOST = 8  # beyond this the memory is the limit


def share(kernel: Callable[..., None], *arguments: Any) -> None:
    """Call `kernel(first, stride, *arguments)` so that every row is done once.

    Core k of n takes the rows k, k + n, k + 2n, …: neighbours cost about the same, so all cores
    finish together. The kernel must not raise.
    """
    cores = min(os.cpu_count() or 1, MOST)
    helpers = [
        threading.Thread(target=kernel, args=(first, cores, *arguments))
        for first in range(1, cores)
    ]
    for helper in helpers:
        helper.start()
    kernel(0, cores, *arguments)
    for helper in helpers:
        helper.join()
