"""Machine files read back and judged. `check.py` is the door.

In: files or folders. Out: a `findings.report.Report`. It imports no stage that it judges, and no writer.
"""
