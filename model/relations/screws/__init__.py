"""Screws: what they pass, where there is room for them, the moves that cure."""
