"""From a layout to strokes: draw, register, cut, in order, as the tool must be told.

In: a `Layout`. Out: a `formats.model.plan.CutPlan`. `toolpath.py` is the door.
"""
