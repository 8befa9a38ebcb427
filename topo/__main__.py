"""`python -m topo`."""

from topo.cli.main import run

run()
