"""Whole-firing redraws and the intervals made from them; knows no model."""
