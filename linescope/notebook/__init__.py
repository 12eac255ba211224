"""Results in notebooks and scripts: plots on a user's own axes, tables, datasets, meshes, and sweeps of a scene."""

from linescope.lazy import lazy

_HOMES = {
    "linescope.notebook.asking": ("solve",),
    "linescope.notebook.meshes": ("mesh", "plotter"),
    "linescope.notebook.page": ("html",),
    "linescope.notebook.plots": ("plot_loops", "plot_side", "plot_tension"),
    "linescope.notebook.sweeps": ("sweep",),
    "linescope.notebook.tables": ("to_dataset", "to_frame"),
    "linescope.notebook.viewing": ("view",),
}
__all__ = [
    "html", "mesh", "plot_loops", "plot_side", "plot_tension", "plotter", "solve", "sweep", "to_dataset", "to_frame",
    "view",
]  # fmt: skip
__getattr__ = lazy(__name__, _HOMES)
