"""Readings at the bender, what they mean, and the bends to come solved again."""
