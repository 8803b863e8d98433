"""SVG 1.1 at true size."""
