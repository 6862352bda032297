"""Drawing a house: pure commands on a house document, snapping, and lengths as they are typed.

Nothing here knows of a screen, a thread or a clock, nor of undo: a Draft is frozen, and a command
makes a new one of it.
"""
