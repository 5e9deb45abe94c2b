"""What people do to operators, shifts, panels and results."""
