"""What the house shows: pure functions of time and place."""
