"""What clients send, from a message to an entry in the log."""
