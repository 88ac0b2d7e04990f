"""What a plan allows and why: slack, reasons, more than one walk."""
