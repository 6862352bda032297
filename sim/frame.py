"""One instant of a house: everything, from the colour asked to the picture."""
