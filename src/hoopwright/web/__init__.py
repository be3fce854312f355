"""The workbench in a browser and the screen at the bender. Nothing is computed here."""
