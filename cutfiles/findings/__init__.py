"""What can be wrong with a file, by its lasting code; findings gathered into a report; how much is read.

Readers of formats and the rules of `check` put findings in; the command line shows the report.
"""
