"""Many packs against many engines, and one cell with its whole working. Pure."""
