"""The pages of what was seen: today, days, sheets, rounds, deficiencies, packets."""
