"""The effects that come with Evenfall, one a file."""
