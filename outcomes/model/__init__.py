"""The cumulative-link model: one fit, many fits."""
