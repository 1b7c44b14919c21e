"""The car file: what it may say, how it is read, what is written into it."""
