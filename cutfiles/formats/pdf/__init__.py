"""PDF at true size: a load parted among pages of paper."""
