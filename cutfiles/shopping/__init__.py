"""What must be bought: pieces, packs and lengths as they are sold, a line a fabric.

In: a job, or what its fabrics were found to give. Out: a `ShoppingList`. Nothing is written.
`purchases.py` is the door.
"""
