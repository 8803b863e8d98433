"""What all of the nest shares: containers, items at their turns, bounds, the layout, the clock."""
