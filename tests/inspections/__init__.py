"""What was seen, signed, put right and proposed."""
