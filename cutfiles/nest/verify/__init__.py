"""A finished layout measured anew, with none of the search's code, before it leaves."""
