"""Run the command line: python -m melodex."""

from melodex.cli import main

main()
