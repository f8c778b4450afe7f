"""Pictures of a hold, drawn without a window: light, ink, cut faces. Knows no Qt."""
