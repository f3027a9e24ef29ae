"""Calculators for client apps: stateless, over the same functions that the service itself uses."""
