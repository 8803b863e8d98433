"""The job file: from TOML to a `Job`, or one line that says what is wrong with it."""
