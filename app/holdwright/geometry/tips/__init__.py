"""Finding dangerous tips and cutting them blunt."""
