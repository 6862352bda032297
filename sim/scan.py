"""Frame quantities over a whole scheme, streamed in blocks."""
