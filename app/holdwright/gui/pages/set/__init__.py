"""The page of a set of holds: its holds, the chosen one, and what all of them take."""
