"""What the pages and actions read of operators, shooting, panels and cores."""
