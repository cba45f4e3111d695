"""Text in, values or problems out: reading a coach's files."""
