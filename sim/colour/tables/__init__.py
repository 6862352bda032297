"""Spectra as data files, and the script that makes them."""
