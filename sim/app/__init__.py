"""The window: a pure state, a table of keys, a view that draws both."""

from sim.app.window import run_window

__all__ = ["run_window"]
