"""The scrutineer's file: all that is known of a cage on one set of pages, and the log of its build."""
