"""Numbers with their unit, range and source: pure functions that import nothing else of ours."""
