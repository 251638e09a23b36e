"""What meets what: joints, notches, legs on rails, dowels, fouls, and what of it is looked at."""
