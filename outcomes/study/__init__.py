"""The whole job as one story, and the record it leaves."""
