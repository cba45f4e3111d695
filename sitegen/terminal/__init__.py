"""What a terminal sees of a command: progress, stopping, JSON, completion."""
