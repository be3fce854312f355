"""A calibration that learns: theory as the first belief, samples over it, then every bend that was logged."""
