"""What a wired house takes to build: parts to buy, what is cut from what, and the work."""
