"""Who may do what, and the work one request does in one transaction."""
