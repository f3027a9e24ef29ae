"""Textbook trend statistics, each checked against certified or printed values."""
