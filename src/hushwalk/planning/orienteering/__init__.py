"""Plain orienteering, where a post is worth the same always."""
