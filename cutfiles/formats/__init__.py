"""Machine files in open formats: a folder a format, each with its writer and its reader.

In: a `model.plan.LoadPlan` and an output style. Out: bytes; and from bytes a `model.drawing.Drawing`.
`registry.py` is the one list of formats; no reader imports a writer.
"""
