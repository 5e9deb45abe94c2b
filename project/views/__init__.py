"""The kernel's pages."""
