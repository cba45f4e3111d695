"""Progression rules, one a file. `RULES` lists them in the order in which they act."""
