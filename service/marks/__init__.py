"""What a mark looks like: content, template to layout in millimetres, symbols as modules, engraving as strokes."""
