"""Tables of real things, read from resources; every row names its source."""
