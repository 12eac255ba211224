# The line on the user's own map.

map-anchor = Anchor { $anchor }
map-line = Main, empty, { $span } from A to B
map-no-fall = Nobody may fall here: { $low } to { $high } from A
map-worst = { $rank }: { $kind }, { $cause }, { $left } left
map-worst-short = { $rank }: { $kind }, { $cause }, short by { $left }
map-basis = A planned line: a model's result, not a permission. Heights stand in the datum of the anchors.
