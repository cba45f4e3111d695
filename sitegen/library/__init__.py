"""Content that is shipped: drills and ladders. No code."""
