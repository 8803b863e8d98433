"""The reader: TOML in, a `Job` out, or an error that names the place in the file.

The only place where dicts live.
"""
