"""What touches the machine: terminal, files, displays, signals, and how a run ends."""
