"""Fault finding in one page, and the order of work on the day all is switched on.

Rows are of common practice but where electrical facts give more; each says which.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class FaultRow:
    """What is seen, what it most likely is, how to tell, what to do; `tag` how that is known."""

    seen: str
    cause: str
    test: str
    cure: str
    tag: str


PRACTICE = "common practice, no source"

FAULTS = (
    FaultRow(
        "Nothing lights anywhere",
        "No mains, GFCI/RCD tripped, supply dead",
        "Volts at the terminals of each supply",
        "Reset once. If it trips again, unplug and call an electrician",
        PRACTICE,
    ),
    FaultRow(
        "One run dark, the rest right",
        "Its fuse, or an open + or −",
        "Volts at its feed: none there, right at the supply",
        "Unplug, look for a short by ohms, then the same fuse again",
        PRACTICE,
    ),
    FaultRow(
        "Dark or frozen from one pixel on, volts right there",
        "Data ends: that pixel, the one before, or the joint between",
        "Patch data past it",
        "Replace the last pixel that works and the first that does not",
        "datasheet",
    ),
    FaultRow(
        "One pixel dark, those after it right",
        "The pixel; a kind with a second data line passes data on",
        "Look whether one colour still lights",
        "Replace it; two neighbours dead stop all after them",
        "datasheet",
    ),
    FaultRow(
        "White turns amber along the run, more so when bright",
        "Too few volts: blue and green fade first",
        "Volts at the point of fewest volts, at a third, against its band",
        "Tighten joints; another feed, thicker wire, or less brightness",
        "calc",
    ),
    FaultRow(
        "Right when dark, far below the band at a third",
        "A loose joint or a wire thinner than drawn",
        "Volts at both ends of each wire: the drop shows which",
        "Make the joint anew; measure again",
        "calc",
    ),
    FaultRow(
        "Flicker or random colours from the first pixel on",
        "Data too weak, − not shared, lead too long",
        "Ohms from the controller's − to the supply's, power off",
        "Join −; shorten the lead; a level shifter near the controller",
        "datasheet",
    ),
    FaultRow(
        "Flicker only when bright",
        "Volts under the least of the kind, or a supply at its limit",
        "Volts at the terminals at full white, amperes of the supply",
        "Lower the ceiling; feed more; a larger supply",
        "calc",
    ),
    FaultRow(
        "A supply clicks, comes and goes",
        "Overload or a short: it limits itself and tries again",
        "Take fuses out one by one until it stays",
        "Find the fault behind that fuse",
        "datasheet, 2nd hand",
    ),
    FaultRow(
        "A supply hums, buzzes or whines",
        "Nearly unloaded it works in bursts, which are heard. Louder when bright, or new: a part in"
        " it is failing",
        "Volts at its terminals, dark and at a third, against their bands",
        "Right volts, no smell, no heat: leave it. Else unplug and replace it; never open one",
        PRACTICE,
    ),
    FaultRow(
        "The fan of a supply rattles, or stands still when it is hot",
        "Dust, or a worn bearing. One that starts only when warm is right",
        "Listen after an hour at a third; feel for moving air at its slots",
        "Unplug, clean the slots from outside, give it room for air; else a new supply",
        PRACTICE,
    ),
    FaultRow(
        "A fuse opens again",
        "A short, or more current than drawn",
        "Power off: ohms from + to −. Then amperes against the table of wires",
        "Never a larger fuse than the table says",
        PRACTICE,
    ),
    FaultRow(
        "Colours exchanged, all steady",
        "Order of channels",
        "All pixels red, then green, then blue",
        "Set the order of the patch table in the controller",
        "datasheet",
    ),
    FaultRow(
        "Right colours at the wrong place",
        "Universe or first slot, a run turned round",
        "Light the first pixel of each run alone",
        "Set what the patch table says; compare arrows of the elevation",
        PRACTICE,
    ),
    FaultRow(
        "Only wrong after rain",
        "Water in a plug, a box or an end cap",
        "Open and look; ohms from + to − while wet, power off",
        "Dry, seal anew, let water run off below",
        "measured, public log",
    ),
)

UNPOWERED = (
    "Unplug every supply and lay the plugs where you can see them.",
    "Take every fuse out. Compare size, colour and length of each wire with the table of wires.",
    "Polarity: with the ohm meter, + of each feed reaches + of its own supply and nothing else; −"
    " reaches − of its supply and of the controller. No + of one supply reaches + of another.",
    "Shorts: ohms from + to − at every feed. The reading climbs as capacitors fill; one that stays"
    " under a few ohms is a short. Find it before going on.",
    "Mains side, earth and GFCI/RCD: the electrician's, to local code.",
)

POWERED = (
    "Mains on, fuses still out. Measure the terminals of each supply. One that can be trimmed is"
    " trimmed now to the volts of the table of supplies.",
    "Mains off, fuses in, mains on, nothing lit. Fill in the column 'dark', and the amperes. A"
    " supply that takes far more than the table says has a fault behind it: switch off.",
    "A third: the controller puts {third} on every channel. Fill in the column 'a third'. Touch no"
    " bare part; feel boxes and plugs for warmth after ten minutes.",
    "Full white only where the note below allows it, and only as long as the reading takes.",
    "Press the test button of the GFCI/RCD. Light every run in red, green, blue{white} and compare"
    " with the patch table. Date and sign below; leave a copy in the box.",
)
