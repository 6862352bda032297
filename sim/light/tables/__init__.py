"""Tables of the light as data files, and how they are read."""
