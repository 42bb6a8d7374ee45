"""What answers a request: one file an area. A view parses, acts and renders; about a dozen lines."""
