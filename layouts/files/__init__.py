"""The reader of files: YAML with places, refusals, hints, and writing values back."""
