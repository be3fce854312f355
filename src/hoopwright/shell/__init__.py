"""Scans: reading, size, vehicle axes, symmetry, and the clearance of bars.

Nothing is gathered here: the compiled kernels are slow to load, so each caller imports the module it needs.
`records` is light; `readers`, `prepared`, `axes`, `landmarks`, `shell`, `clearance`, `tape` and `sides` are the
doors to the rest.
"""
