# The interactive picture: buttons and heads around it. What it shows is said by the topics' own messages.

## Round the picture

viewer-rig = The rig
viewer-answers = Answers
viewer-tapes = Tapes
viewer-measured = Measured
viewer-share = Share
viewer-file = Scene
viewer-close = Close
viewer-whole = Whole line
viewer-near = At the walker
viewer-plain = Plain picture
viewer-dark = Dark
viewer-tall = Heights × 3
viewer-from = Seen from
viewer-from-whole = From the front
viewer-from-side = Level, from the side
viewer-from-a = From A
viewer-from-b = From B
viewer-from-above = From above
viewer-views = View
viewer-layers = Shown on the line
viewer-states = States
viewer-strip = Along the line, or through time
viewer-leash = leash
viewer-missing = The 3-D picture is missing: this copy of linescope was made where the npm registry could not be reached. Install it again with a connection; everything else is here.

## Drawers

viewer-no-fall = Where may nobody fall into the leash?
viewer-no-fall-none = Nowhere on this ground, within what was computed.
viewer-worst = Which places are worst?
viewer-figures = As shown
viewer-all = Everything in tables
viewer-legend = Lines and tapes
viewer-inputs = What it was computed with
viewer-keys = Keys
viewer-keys-all = 1 to 9 states; g, t, l, c, r what is shown on the line; arrows walker or film (Shift finer, Page farther); space play; w near, o whole line, f seen from elsewhere, e heights, p plain picture, d dark; Esc back. Drag the person or the knob to walk, elsewhere to turn; wheel or two fingers to come nearer; double click to stand there and look; click a loop or tape for its figures.

## What was measured

viewer-measured-what-for = What you read on the standing line. It is kept on this device alone; send it to whoever has the program, which tells the line as built and what does not fit. Nothing is computed here.
viewer-measured-what = What was read
viewer-measured-tension = tension of the main
viewer-measured-sag = sag of the main under A–B
viewer-measured-loop = depth of a loop
viewer-measured-bay = length of a bay
viewer-measured-tape = where a tape sits, from A
viewer-measured-period = bounces, small ones
viewer-measured-value = Reading
viewer-measured-unit = unit
viewer-measured-number = Number, counted from A
viewer-measured-end = At anchor
viewer-measured-weight = Who stands on the main, with all that is carried; empty: nobody
viewer-measured-at = Where, from A; empty: the middle
viewer-measured-more = Error, time, note
viewer-measured-error = Error, one standard deviation; empty: usual for its kind
viewer-measured-taken = When; empty: now
viewer-measured-note = Note
viewer-measured-keep = Keep this reading
viewer-measured-send = Send …
viewer-measured-csv = Copy as a table
viewer-measured-toml = Copy for the scene file
viewer-measured-save = Save as a file
viewer-measured-given = The readings as text
viewer-measured-where-to = On the computer: save the table as readings.csv and call linescope readings SCENE --csv readings.csv, or put the text for the scene at the end of the scene file.

## What the script says

viewer-say-ten = s for ten
viewer-say-kept = Kept on this device.
viewer-say-dropped = Dropped.
viewer-say-drop = Drop
viewer-say-drop-one = Drop { $reading }
viewer-say-with = { $weight } at { $at }
viewer-say-middle = the middle
viewer-say-copied = Copied.
viewer-say-copy-by-hand = Marked below: copy it by hand.
viewer-say-not-kept = This device keeps nothing for the page: send or copy the readings before you close it.
viewer-say-wrong-value = A reading is a number, such as 2.4.
viewer-say-wrong-error = An error is a number above nothing, or left empty.
viewer-say-wrong-number = This line has { $bays } bays and { $tapes } tapes, counted from 1 at A.
viewer-say-wrong-weight = A weight is a number; bounces are always somebody’s.
viewer-say-wrong-at = The place lies on the line, between A and { $span } m, and somebody stands there unless it is a sag.

viewer-say-play = Play
viewer-say-pause = Pause
viewer-say-again = Again
viewer-say-quarter = quarter speed
viewer-say-half = half speed
viewer-say-real = real time
viewer-say-four = 4 times as fast
viewer-say-eight = 8 times as fast
viewer-say-drag = drag to walk
viewer-say-worst = Worst place
viewer-say-before = the line before
viewer-say-feet = as low as feet may come
viewer-say-larger = person larger than true, true in the lens
viewer-say-faces = of each line the upper half is its top, the lower half its underside; not to scale
viewer-say-taller = heights drawn 3 times as high
viewer-say-thicker = lines thicker than true
viewer-say-loop = Loop
viewer-say-tape = Tape
viewer-say-main = main
viewer-say-backup = backup
viewer-say-at = walker at { $place } from A
