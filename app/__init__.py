"""Gripledger: which clutch pack holds which small engine, and how sure that is."""
