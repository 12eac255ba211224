"""Results leave the program here: pictures, later sheets, pages, meshes, films.  Written whole or not at all."""
