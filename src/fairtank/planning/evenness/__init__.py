"""How even the units of a trial are: what is known of each factor, and whether it goes along with the arms."""
