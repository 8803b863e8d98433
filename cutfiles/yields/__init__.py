"""What given fabrics give, before anything is cut: whole plates, what is over, how long the blades could be.

In: a job. Out: a `fit.Fit`. It puts the job to its fabrics again and again, with other counts and
other blades, and writes nothing. `fit.py` is the door.
"""
