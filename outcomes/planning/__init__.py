"""Questions stated beforehand: declared, tested, powered, and the firings that decide them."""
