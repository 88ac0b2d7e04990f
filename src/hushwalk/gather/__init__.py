"""From nothing to the layers of a place: open data services, their licences and credits."""
