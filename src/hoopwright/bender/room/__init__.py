"""The bender in its room: whether a bar goes through it, in which order, fed from which end."""
