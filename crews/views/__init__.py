"""The crew's pages."""
