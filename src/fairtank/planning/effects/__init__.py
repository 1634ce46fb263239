"""What the change brings besides itself: by devices, by doses, by layers, lights and pieces."""
