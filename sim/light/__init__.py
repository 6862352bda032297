"""The house at night: where the light falls and what a camera sees."""
