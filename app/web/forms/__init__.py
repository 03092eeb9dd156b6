"""Forms of the pages: typed text to documents and back, with what was wrong beside each box."""
