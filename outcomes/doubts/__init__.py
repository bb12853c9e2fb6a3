"""Reasons to doubt, one file each."""
