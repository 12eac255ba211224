"""Results leave the program here: pictures, and later sheets, pages, meshes and films.  Written whole or not at all."""
