"""Battens through their drawn sections, and found in notches where none is drawn."""
