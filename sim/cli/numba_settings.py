"""What numba is told by a file in the folder that one happens to work in: nothing."""

from __future__ import annotations

import os
from pathlib import Path

#: numba's own name for it; read when numba is imported and again before each compiling.
_FILE = ".numba_config.yaml"


def ignore_those_here() -> None:
    """Have numba take its settings from the environment alone, in this process.

    A file of such settings that came with somebody's house would say how our kernels are compiled
    and where code is fetched from; one that numba cannot read would end every verb that computes.
    Where there is none nothing is imported. numba reads the file as it is imported, so that is done
    from a folder of ours: called before any thread starts.
    """
    if not os.path.lexists(_FILE):
        return
    here = os.getcwd()
    os.chdir(Path(__file__).parent)
    try:
        from numba.core import config
    finally:
        os.chdir(here)
    if hasattr(config, "_config_fname"):  # no public way: numba has none to leave the file alone
        config._config_fname = os.devnull  # which is no file to it
