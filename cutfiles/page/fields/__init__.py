"""The job's text as fields: what a person types, ticks or chooses, and how the text is changed by it.

In: the text of a job, and an action. Out: controls to be shown, or the text changed. Knows of no browser.
"""
