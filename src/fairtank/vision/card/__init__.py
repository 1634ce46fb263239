"""The photo card and the corner stickers found in a photo."""
