"""What a layer-by-layer printer will make of a hold: settings, mass, filament, cost and time."""
