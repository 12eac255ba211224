"""Lessons: what each of them shows, as solved states of a rig in rows and at settings of one knob."""
