"""The finished block as numbers, in closed form.

In: a `Job`. Out: a `Plate`: blade, centre, background, what the seams must be.
"""
