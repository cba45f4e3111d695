"""Running plans in YAML, expanded by progression rules into a private site for each client."""

__version__ = "0.1.0"
