"""The year: which scheme shines on which evening, and what that costs."""
