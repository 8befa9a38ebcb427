"""The command line. click comes in here and nowhere else; each command is a file that imports its rooms when run."""
