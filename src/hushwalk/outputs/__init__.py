"""Draws what the reports hold, and computes nothing."""
