"""The desk: one page, served to this computer alone, on which a coach does the evening's work."""
