"""Small widgets, figures and colours that every part of the window uses."""
