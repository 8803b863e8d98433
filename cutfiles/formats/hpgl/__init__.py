"""HP-GL, the language of pen plotters."""
