"""Disk to values and back; what a program reads again."""
