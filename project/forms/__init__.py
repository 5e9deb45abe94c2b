"""Parsing what people type; every message says the value and what is allowed."""
