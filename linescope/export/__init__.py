"""Results leave the program here: pictures, sheets, pages, tables, meshes and films.  Written whole or not at all."""
