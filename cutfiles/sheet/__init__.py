"""The job sheet: one HTML page that a person prints and follows. `html.py` is the door."""
