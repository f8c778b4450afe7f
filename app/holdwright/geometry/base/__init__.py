"""Finding the side a hold meets the wall with, and turning it there."""
