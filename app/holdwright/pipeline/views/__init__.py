"""What window and commands ask of a replayed recipe: steps to show, maps, figures, comparisons."""
