"""Battens: how they run and bend, and how they are found where none is drawn."""
