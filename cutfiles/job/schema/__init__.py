"""The field table: every table and key, its kind, limits, default and words. Reader and reference obey it."""
