"""The version of the model that works verdicts out."""

MODEL_VERSION = "2"
"""Raised whenever a formula, a table or a rule changes so that a figure comes out otherwise."""
