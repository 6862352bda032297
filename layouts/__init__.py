"""The house and all that is fixed to it."""

from layouts.addresses import Addresses, addresses, frame_time_s
from layouts.catalogue import fuses, kinds, materials, profiles, wire_size, wire_sizes
from layouts.change import with_kind
from layouts.errors import EvenfallError, InputError, Problem
from layouts.files.write import write_atomically
from layouts.finding import LEVELS, Finding, by_urgency
from layouts.findings import house_findings
from layouts.load import house_schema, load_house
from layouts.provenance import Stated, stated
from layouts.records import (
    CHANNELS,
    Channel,
    Drawing,
    House,
    Kind,
    Location,
    Material,
    Output,
    Photo,
    Pixels,
    Profile,
    Run,
    Supply,
    Surface,
    Wire,
    WireEnd,
    WireSize,
    Zone,
)
from layouts.starter import write_starter

__all__ = [
    "CHANNELS",
    "LEVELS",
    "Addresses",
    "Channel",
    "Drawing",
    "EvenfallError",
    "Finding",
    "House",
    "InputError",
    "Kind",
    "Location",
    "Material",
    "Output",
    "Photo",
    "Pixels",
    "Problem",
    "Profile",
    "Run",
    "Stated",
    "Supply",
    "Surface",
    "Wire",
    "WireEnd",
    "WireSize",
    "Zone",
    "addresses",
    "by_urgency",
    "frame_time_s",
    "fuses",
    "house_findings",
    "house_schema",
    "kinds",
    "load_house",
    "materials",
    "profiles",
    "stated",
    "wire_size",
    "wire_sizes",
    "with_kind",
    "write_atomically",
    "write_starter",
]
