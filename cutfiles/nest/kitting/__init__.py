"""What each piece that was laid is for: the plate it is sewn into, its place there, the bag of its kit."""
