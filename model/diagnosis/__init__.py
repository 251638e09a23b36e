"""One cause for many findings: what a small slip in a plan explains, proved by trying it without."""
