"""The door to all searches: fill a container with one shape or several, or find the shortest."""
