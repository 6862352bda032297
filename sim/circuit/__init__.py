"""Volts and amperes of every pixel, wire and supply."""
