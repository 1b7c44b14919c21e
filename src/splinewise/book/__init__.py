"""The record book: what was found, done and believed, and nothing of it lost."""
