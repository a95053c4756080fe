"""`python -m api`: the command line from a checkout."""

from .command_line import main

main(prog_name="sccr")
