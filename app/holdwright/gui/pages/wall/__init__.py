"""The page of a wall: drawn to scale, holds hung on it by hand."""
