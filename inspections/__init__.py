"""What was seen, put right, released, and the owner's packet."""
