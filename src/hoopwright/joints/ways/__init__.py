"""Ways into the car: whether a bar passes an opening to its place, past what stands there, and in which order."""
