"""Findings and steps as text and data: one writer a format."""
