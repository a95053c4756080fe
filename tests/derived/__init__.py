"""Cases worked by hand from the method, not published."""
