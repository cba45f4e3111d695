"""The coach's side: intake, roster, overview, preview, words and leaving."""
