"""Frozen data that every other part speaks in: what a coach wrote, and what a plan became."""
