"""Doing a command on a paper: which function does which."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sim.app.edit import adding, keys, shaping
from sim.app.edit import commands as c
from sim.app.edit.follow import rename
from sim.app.edit.paper import Paper
from sim.app.edit.removal import delete

_DO: dict[type, Callable[[Paper, Any], None]] = {
    c.AddRun: adding.add_run,
    c.AddSurface: adding.add_surface,
    c.AddPlace: adding.add_place,
    c.AddRoute: adding.add_route,
    c.AddSupply: adding.add_supply,
    c.AddWire: adding.add_wire,
    c.AddOutput: adding.add_output,
    c.AddZone: adding.add_zone,
    c.AddCut: adding.add_cut,
    c.RemoveCut: adding.remove_cut,
    c.MoveCut: adding.move_cut,
    c.MovePoint: shaping.move_point,
    c.InsertPoint: shaping.insert_point,
    c.RemovePoint: shaping.remove_point,
    c.ShiftBy: shaping.shift,
    c.MirrorAbout: shaping.mirror,
    c.RepeatBy: shaping.repeat,
    c.Rename: lambda paper, command: rename(paper, command.item, command.to),
    c.Delete: delete,
    c.SetKey: keys.set_key,
    c.Restack: keys.restack,
}


def do(paper: Paper, command: c.Command) -> None:
    """Does `command` on the paper. Raises NotDone; the paper is then of no use any more."""
    if isinstance(command, c.Several):
        for each in command.commands:
            do(paper, each)
    else:
        _DO[type(command)](paper, command)
