"""The centre: what is computed, from arrays to arrays, with no database and no web."""
