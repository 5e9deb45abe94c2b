"""Parsing what people type about the crew, the nozzle, panels and cores."""
