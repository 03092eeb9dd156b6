"""The JSON interface: every route below /api/v1."""
