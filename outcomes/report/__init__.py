"""Pages, sheets, pictures and tables made from a Study."""
