"""What may be typed: one file of forms for each area of pages."""
