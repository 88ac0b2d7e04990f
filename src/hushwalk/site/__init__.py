"""The ground of a trip: what the person says, the layers, and one piece of ground made from them."""
