"""The boat's nouns, frozen: parts, screws, battens, frames, strongback, assembly board, and the whole assembly."""
