"""The parts behind a build sheet: boxes, beds, plants, water, doses, light and heat, and the checks before them."""
