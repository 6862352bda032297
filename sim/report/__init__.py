"""What the tool tells: reports as records, JSON and tables."""
