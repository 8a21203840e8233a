"""What a number is: its grammar, its check, keys, and how a damaged one is read. Standard library only."""
