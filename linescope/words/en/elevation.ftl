# From the side.

elevation-question = How far does the line sag, and how deep is every loop?
elevation-empty = main with nobody on the line
elevation-lowest = main at its lowest, { $depth } below the chord
elevation-caption = Whole line from the side, true to scale. { $summary }
elevation-rows = Every loop, the main laid straight. Above: number of the tape; below: depth of the loop in { $unit }. True to scale.
elevation-rows-stretched = Every loop, the main laid straight. Above: number of the tape; below: depth of the loop in { $unit }. Depths are drawn { $times } times too large.
elevation-walker = walker
