"""The standing crop: one published relation per function, numbers in, numbers out."""
