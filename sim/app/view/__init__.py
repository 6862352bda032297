"""What is drawn: each file one part of the window, from the state and computed arrays."""
