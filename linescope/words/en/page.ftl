# The page that opens offline, and the one that is served: what no topic owns.

## Figures beside the picture

page-state = { $state }, { $where }, { $air }
page-air-still = still air
page-air-steady = steady wind { $speed }
page-air-gust = held by a gust of { $speed }
page-air-other-side = { $air }, from the other side
page-row-tension-a = Main tension at A
page-row-tension-b = Main tension at B
page-row-backup-most = Backup tension, most
page-row-sag = Main below the chord, most
page-row-deepest = Deepest loop
page-row-shallowest = Shallowest loop
page-row-drop = Backup below the main, most
page-row-excess-least = Least excess
page-row-excess-most = Most excess
page-row-tight = Bays without slack
page-row-tapes = Tapes and ties
page-row-main-length = Main, unstretched
page-row-backup-length = Backup, unstretched
page-row-stretch = Stretch of the main, mean
page-place-deepest = Deepest loop: { $depth } in bay { $bay }
page-place-least = Least excess: { $excess } in bay { $bay }
page-place-slid = Slid farthest: tape { $tape }, { $distance }

## One loop or tape

page-loop-name = Loop { $number } of { $total }
page-loop-from-a = From A, along the main
page-loop-depth = Loop depth
page-loop-drop = Backup below the main
page-loop-excess = Excess
page-loop-bay = Bay on the stretched main
page-loop-length = Loop, unstretched
page-loop-main = Main tension
page-loop-backup = Backup tension
page-loop-share = Backup's share of the load
page-tape-name = Tape { $number } of { $total }
page-tape-style = Style
page-tape-style-holds = { $style }, holds { $line }
page-tape-zone = Zone
page-tape-from-a = From A, along the main
page-tape-mark-main = Mark on the slack main
page-tape-mark-backup = Mark on the backup
page-tape-slid = Slid since taped
page-tape-pull = Pull of the backup along it
page-tape-hold = Hold, drag

## Crossing with friction

page-crossing = Crossing with friction ({ $hold }), { $way }, step { $step } of { $total }
page-crossing-towards-b = towards B
page-crossing-back = back towards A
page-crossing-tension-a = Tension at A
page-crossing-tension-b = Tension at B
page-crossing-shallowest = Shallowest loop
page-crossing-deepest = Deepest loop
page-crossing-slid = Slid so far, most at one tape
page-label-deepest = deepest loop { $depth }
