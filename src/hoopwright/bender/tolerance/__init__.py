"""Where the ends of a bar land, bent with a person's scatter."""
