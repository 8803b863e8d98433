"""One fabric: what it offers, what is asked of it, what is short, what is left over."""
