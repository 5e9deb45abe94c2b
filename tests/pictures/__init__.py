"""The README's pictures, and what takes them: `.venv/bin/python -m tests.pictures`."""
