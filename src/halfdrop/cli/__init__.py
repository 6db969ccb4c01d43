"""The command line: one of the doors; it holds no chemistry."""
