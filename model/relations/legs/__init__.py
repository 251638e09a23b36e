"""The legs that carry a frame on the strongback's rails."""
