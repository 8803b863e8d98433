"""The page's part that speaks HTTP: routes, what forms may ask for, and who is let in and for how long.

In: requests of a browser on this computer. Out: the desk as HTML, pictures, events, files.
"""
