"""What each design makes of the units' numbers."""
