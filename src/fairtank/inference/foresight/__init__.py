"""What a plan could show before it starts."""
