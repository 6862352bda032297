"""The house and all that is fixed to it."""

from layouts.addresses import Addresses, addresses, frame_time_s
from layouts.catalogue import fuses, kinds, materials, profiles, wire_size, wire_sizes
from layouts.change import change
from layouts.entries import house_data
from layouts.errors import EvenfallError, InputError, Problem
from layouts.files.write import write_atomically
from layouts.finding import LEVELS, Finding, by_urgency
from layouts.findings import house_findings
from layouts.kind_change import with_kind
from layouts.load import house_from, house_schema, load_house
from layouts.places import spot_xy_m
from layouts.provenance import Stated, stated
from layouts.records import (
    CHANNELS,
    Channel,
    Drawing,
    House,
    Kind,
    Lead,
    Location,
    Material,
    Output,
    Photo,
    Pixels,
    Place,
    Profile,
    Route,
    Run,
    Supply,
    Surface,
    Wire,
    WireEnd,
    WireSize,
    Zone,
)
from layouts.starter import write_starter
from layouts.units import length_text

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
    "Lead",
    "Location",
    "Material",
    "Output",
    "Photo",
    "Pixels",
    "Place",
    "Problem",
    "Profile",
    "Route",
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
    "change",
    "frame_time_s",
    "fuses",
    "house_data",
    "house_findings",
    "house_from",
    "house_schema",
    "kinds",
    "length_text",
    "load_house",
    "materials",
    "profiles",
    "spot_xy_m",
    "stated",
    "wire_size",
    "wire_sizes",
    "with_kind",
    "write_atomically",
    "write_starter",
]
