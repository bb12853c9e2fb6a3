"""The commands, one file each: words in, one call of the public functions, a line out."""
