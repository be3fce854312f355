"""Speed and memory, measured; never part of the tests. Run one with `python -m benchmarks.NAME`."""
