"""What a cut file says: DXF bytes to polygons in millimetres, and what those tell. No files, no tables."""
