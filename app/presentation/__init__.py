"""Results as text: numbers with their units and doubt, tables, CSV, figures."""
