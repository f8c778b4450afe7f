"""From the pieces of a raw sculpt to one closed solid."""
