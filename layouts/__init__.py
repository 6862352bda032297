"""The house and all that is fixed to it."""
