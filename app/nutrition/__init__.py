"""The herd's need and the feed's worth: one published relation per function, numbers in, numbers out."""
