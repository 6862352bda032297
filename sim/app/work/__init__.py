"""What goes on beside the picture: files watched, frames made, loads measured."""
