"""The dataset as catalogues and reference managers read it."""
