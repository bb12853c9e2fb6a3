"""How far gradings of the same pieces agree, and what it means for the findings."""
