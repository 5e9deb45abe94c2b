"""The proof; tests/run runs all of it."""
