"""Stops, alarms and their words: what a runner's safety asks of every other room."""
