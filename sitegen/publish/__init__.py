"""One target per file: where a built site goes."""
