"""One verb a person does, in one transaction: one file per noun."""
