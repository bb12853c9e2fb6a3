"""Invented logs whose truth is known: demo data, tests, coverage and power."""
