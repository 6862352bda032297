"""A house out of a drawing: filled shapes become surfaces, unfilled strokes runs.

`read_page` reads an SVG file, `house_of_page` makes the data of a house of it and says what became
of every shape. Nothing but the file itself is read.
"""

from layouts.svg.house import DrawnHouse, Made, house_of_page
from layouts.svg.page import Page
from layouts.svg.shapes import read_page

__all__ = ["DrawnHouse", "Made", "Page", "house_of_page", "read_page"]
