# Plots on a user's own axes, and what a result shows of itself in a notebook.

notebook-along = along the straight line from A [{ $unit }]
notebook-height = height over the straight line [{ $unit }]
notebook-depth = loop depth [{ $unit }]
notebook-tension = tension [{ $unit }]
notebook-tight = no slack: the backup carries load
notebook-picture = Both lines from the side, the loop in every bay, and the tension along both lines
notebook-view = { $name }: the rig to be turned and walked on
