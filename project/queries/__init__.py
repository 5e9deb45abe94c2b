"""What the kernel knows, as known at an instant."""
