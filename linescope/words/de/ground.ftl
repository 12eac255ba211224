# Der Boden.

ground-into = { $depth } in den Boden
