"""Scene files: one TOML per rig, in the words of the trade, checked key by key."""

from linescope.scenefile.load import from_mapping, from_text
from linescope.scenefile.schema import schema
from linescope.scenefile.start import start, start_text, starts

__all__ = ["from_mapping", "from_text", "schema", "start", "start_text", "starts"]
