"""Pages of logging, and what makes an app of them."""
