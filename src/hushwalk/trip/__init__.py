"""The hall: where settings, inputs and all the rooms below meet and become a report."""
