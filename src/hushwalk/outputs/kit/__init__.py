"""What all products share: paper, pen, palette, labels, contours, pictures, maps."""
