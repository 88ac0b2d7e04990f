"""Draws what the report holds, and computes nothing."""
