"""The page: a job edited, laid out and taken away in a browser on this computer.

In: the text of a job. Out: the same text changed, pictures of it, and what `pipeline` makes of it. A
face above the line, as `cli/` is: nothing below knows of it.
"""
