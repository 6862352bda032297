"""What the light is, and what it costs."""
