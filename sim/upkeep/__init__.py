"""A house in use: what is measured, what cold and years do to it, what breaks."""
