"""Weeks from rules: the fold, the days, the coach's own changes, what is told of them."""
