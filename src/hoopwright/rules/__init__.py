"""Rule books as data, and the engine that holds a cage against them.

Nothing is imported here: who needs a book's words alone must not wait for every kind of check.
"""
