"""Screws laid out where none is drawn, and moved where they stand badly."""
