"""The dataset and its releases as catalogues, search engines and reference managers read them."""
