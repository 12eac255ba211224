"""The page: change anything, see it at once."""
