"""Where the hold is seen and worked on."""
