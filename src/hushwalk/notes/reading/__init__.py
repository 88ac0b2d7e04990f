"""What people write, read as notes: typed lines, fill-in tables and the names of waypoints."""
