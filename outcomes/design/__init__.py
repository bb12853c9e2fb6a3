"""Who enters an analysis and as which columns."""
