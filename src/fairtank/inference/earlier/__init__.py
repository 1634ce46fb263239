"""Earlier like tanks: which are alike, what they say, and the interval that leans on them."""
