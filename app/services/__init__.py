"""What people do with the catalogue: use cases with a session, no HTTP."""
