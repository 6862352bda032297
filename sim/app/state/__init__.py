"""What the window knows and what may happen to it: pure, without a display."""
