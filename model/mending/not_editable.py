"""Why an edit cannot be carried out."""

from __future__ import annotations


class NotEditableError(ValueError):
    """An edit that a file does not take as it is: what of it, in a few words. Never leaves `model`."""
