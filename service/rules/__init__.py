"""What the trade decides: revision to cut, stock colours, materials, lifting, lint. Pure functions of plain values."""
