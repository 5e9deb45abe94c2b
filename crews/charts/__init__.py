"""What the crew's pages and the packet draw of panels and cores."""
