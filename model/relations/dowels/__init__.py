"""Dowels: where they push, what they hold, and where they go where none is drawn."""
