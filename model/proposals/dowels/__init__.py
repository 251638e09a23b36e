"""Where dowels go that no drawing shows."""
