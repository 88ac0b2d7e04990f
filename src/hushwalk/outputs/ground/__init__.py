"""The ground of a trip as rasters for other tools."""
