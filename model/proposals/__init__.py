"""What drawings leave out, found or laid out, and the moves that cure."""
