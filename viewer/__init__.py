"""Everything a person or a machine reads: the verbs, and one writer a format."""
