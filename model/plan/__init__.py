"""The plan's file: read, every mistake found at once with its line, and made a Plan."""
