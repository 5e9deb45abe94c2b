"""Forms of sheets, walks, signatures, deficiencies and nonconformance reports."""
