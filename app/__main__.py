"""`python -m app`: the same as the `gripledger` command."""

from app.cli import main

main(prog_name="gripledger")
