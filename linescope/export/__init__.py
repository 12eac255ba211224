"""Results leave the program here: pictures, later sheets, pages and films.  Written whole or not at all."""
