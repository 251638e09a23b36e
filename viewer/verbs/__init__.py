"""The verbs of the command, one a file."""
