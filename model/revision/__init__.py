"""What is different between two states of a plan: parts, cut sheets, set-up, findings."""
