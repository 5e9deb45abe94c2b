"""Who may shoot, who shot, and what the panels and cores said."""
