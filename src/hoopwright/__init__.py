"""Hoopwright: from a scanned shell and a few sample bends to safety-cage bars that fit."""

__version__ = "0.1.0"
