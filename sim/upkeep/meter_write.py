"""What a meter found put into its house file, as one edit: all else stays, to the byte."""

from __future__ import annotations

from pathlib import Path

from layouts.calibration_entries import calibration_entry
from layouts.errors import EvenfallError
from layouts.files.document import parse
from layouts.files.edits import Put
from layouts.files.writeback import write_edits
from layouts.known import Known
from layouts.load import house_of
from layouts.records import House


def write_calibration(house: House, path: str | Path, *, expected: str | None = None) -> str:
    """Put the calibration of `house` into the file at `path` and return its digest.

    `expected` is the digest of what was measured with. Raises Conflict, CannotWrite, InputError,
    OSError as `write_edits` does, and EvenfallError where the text would not be read back as it;
    then nothing was written.
    """
    before = Path(path).read_bytes().decode("utf-8-sig")
    entries = [calibration_entry(each) for each in house.calibration]

    def as_found(text: str) -> None:
        read = house_of(parse(text, str(path)), Known())
        if text != before and read.calibration != house.calibration:
            raise EvenfallError(f"{path}: the calibration would be read back as another")

    edit = Put(("calibration",), entries)
    return write_edits(path, [edit], expected=expected, validate=as_found)
