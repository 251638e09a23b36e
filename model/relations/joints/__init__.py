"""Where parts meet, what covers it, and what stands proud of the frame."""
