"""Motion: by which straight ways things come off one another, and the order in which they can."""
