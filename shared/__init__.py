"""What both sides speak: units, errors, findings, limits, the trade's tables and their sources."""
