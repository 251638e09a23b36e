"""Whatever wants the same space: in a frame, on the strongback, along the battens."""
