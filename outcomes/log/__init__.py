"""What was written down: codebook, cells, files, checks."""
