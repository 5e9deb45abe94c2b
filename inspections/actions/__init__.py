"""What people do with sheets, loads, deficiencies and nonconformance reports."""
