"""From draws to pieces per hundred, curves, ranks and verdict words."""
