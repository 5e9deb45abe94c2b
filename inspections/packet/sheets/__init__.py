"""The packet's sections, one module each; every one draws from the snapshot alone."""
