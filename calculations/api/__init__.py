"""Stateless calculators for client apps, over the same functions."""
