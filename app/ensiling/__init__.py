"""Silage: packing, capacity, covering, losses, feed-out and its dangers; numbers in, numbers out."""
