"""Where the frame lies in a photo."""
