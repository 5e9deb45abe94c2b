"""What is drawn, as plain data: once for the pages (SVG), once for the packet (PDF)."""
