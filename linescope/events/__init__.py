"""What happens to a line: crossings with friction, wind, falls, loss of the main, and what they do to excess."""
