"""Alignment: what the wheels' angles are, what would change them, what travel does."""
