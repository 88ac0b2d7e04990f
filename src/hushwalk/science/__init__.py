"""One phenomenon a file, arrays in and arrays out, every function with its source."""
