"""What of a boat still fits where stock, cutter and setting out are not what the plan takes them for."""
