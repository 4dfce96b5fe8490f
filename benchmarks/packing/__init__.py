"""How many patches fit, against the bounds, on outlines kept for it."""
