"""From the path a machine is told to the line that its tool leaves."""
