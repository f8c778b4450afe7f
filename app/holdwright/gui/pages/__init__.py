"""Pages that take the place of the sidebar or the view."""
