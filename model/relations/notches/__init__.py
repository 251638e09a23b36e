"""Notches and the battens in them."""
