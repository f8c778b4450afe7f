"""The pages of the print: settings, checks, layers and estimate, in the order they are needed."""
