"""What a wired house takes to build: parts to buy, what is cut from what, and the work."""

from sim.parts.bill import MaterialBill, bill_of
from sim.parts.cutting import Cutting, cut
from sim.parts.fillings import StockLength
from sim.parts.lines import BillLine, CutBar, CutList, Piece
from sim.parts.load import (
    builtin_parts,
    load_parts,
    parts_beside,
    parts_schema,
    with_pixel_prices,
)
from sim.parts.records import Parts

__all__ = [
    "BillLine",
    "CutBar",
    "CutList",
    "Cutting",
    "MaterialBill",
    "Parts",
    "Piece",
    "StockLength",
    "bill_of",
    "builtin_parts",
    "cut",
    "load_parts",
    "parts_beside",
    "parts_schema",
    "with_pixel_prices",
]
