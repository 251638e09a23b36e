"""Edits applied to a copy of a plan's files, and checked again."""
