"""``python -m sitegen``."""

from sitegen.cli import main

main(prog_name="sitegen")
