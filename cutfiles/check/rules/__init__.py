"""The rules: each looks at a drawing, alone or against its load, and yields faults."""
