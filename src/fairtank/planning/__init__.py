"""Before the first drop of water: what each unit receives, what it costs, what the change brings besides itself, what can be measured."""
