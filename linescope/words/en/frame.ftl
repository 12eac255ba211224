# What every picture, the sheet and the pages have in common and no topic owns.

## The state that is shown

frame-state = { $state }, { $where }
frame-state-air = { $state }, { $where }, { $air }
frame-state-as-taped = as taped
frame-state-settled = settled
frame-state-friction-limited = hold as given
frame-walker-at = walker at { $place }
frame-nobody = nobody on the line
frame-still-air = still air
frame-in-wind = in wind

## How an input is known

frame-known = { $value } ({ $known })
frame-known-measured = measured
frame-known-sheet = data sheet
frame-known-guess = guessed
frame-known-assumed = assumed
frame-known-tried = tried
frame-known-stated = given

## Inputs on a picture

frame-inputs = Inputs
frame-inputs-span = Span { $span }, { $slope }. { $tension }
frame-inputs-tension = Standing tension { $tension } at { $end }
frame-inputs-length = Main { $length } long, unstretched
frame-inputs-main = Main: { $line }
frame-inputs-backup-excess = Backup: { $line }; { $amount } longer than the main in each bay
frame-inputs-backup-loop-length = Backup: { $line }; { $amount } in each loop, unstretched
frame-inputs-backup-loop-depth = Backup: { $line }; loops { $amount } deep
frame-inputs-backup-total-length = Backup: { $line }; { $amount } long in all, unstretched
frame-inputs-tapes = { $count ->
        [one] { $count } tape
       *[other] { $count } tapes
    }, bays of { $bays }; spacing and excess marked on the { $marked } main
frame-inputs-walker = Walker { $mass }, leash { $leash }
frame-inputs-wind = Wind { $speed }
frame-inputs-and = { $first }. { $second }
frame-inputs-assumed = Not given, so assumed ({ $count }): { $inputs }
frame-tried = Tried, not the file's: { $values }
frame-tried-kept = Tried (variant { $variant }), not the file's: { $values }
frame-tried-one = { $key } { $value } (file: { $file })
frame-tried-assumed = { $key } { $value } (not in the file, else { $file } assumed)
frame-tried-table = { $key } { $value } (file: figures of its own)
frame-tried-new = { $key } { $value } (not in the file)
frame-tried-more = { $values }; { $count } more
frame-inputs-tried = Tried in place of the file's values ({ $count }): { $inputs }
frame-inputs-minor = { $count ->
        [one] { $count } less important one is
       *[other] { $count } less important ones are
    } listed in the figures and on the sheet
frame-inputs-group = { $what }: { $inputs }
frame-inputs-none-known = Values were given in Python; where they come from is not recorded.
frame-marked-slack = slack
frame-marked-tensioned = tensioned
frame-marked-standing = standing

frame-level = level
frame-rising = rising { $slope } towards B
frame-falling = falling { $slope } towards B

frame-line = { $name }, { $width } wide, { $mass }
frame-line-rope = { $name }, rope { $width } thick, { $mass }
frame-line-stretch = { $line }, stretch { $stretch } at { $force }
frame-line-as-main = as the main, { $width } wide

## In one sentence

frame-summary = Main pulls { $a } at A and { $b } at B. { $loops }
frame-summary-feet = { $summary } Feet { $depth } below the chord.
frame-loops = Loops { $depth } deep.
frame-no-loops = No loops: the backup is tight.

## Round a picture

frame-legend = On this picture
frame-before-use = Before you use it
frame-no-ground = No ground in this scene: heights above it are unknown.
frame-footer = linescope { $version }, { $date }. { $balance } Two significant figures, places to { $step }. ≤ and ≥ mark bounds, rounded to the careful side. Plan, not permission.
frame-balance = Forces balance to one part in { $parts } of the weight.
frame-cut-short = … (`linescope figures` lists all)
frame-plan = Plan, not permission
frame-caution-plan = Results of a model, not permission to walk. Measure tension and loop depth on the real line first.
frame-caution-model = Quasi-static: no damping, twist or creep; anchors rigid. Depths of falls are bounds, forces estimates.
frame-caution-rig = Tapes position the backup; they hold no fall. Ring on both lines, backup closed, nobody below.
frame-caution-local = Local rules and the judgement of competent riggers on site come first.
frame-caution-again = Check the line again after wind, rain, 24 h or a hard fall. Notify the airspace authority.
frame-caution-anchors = This is no certificate, and anchors are not checked. A second person checks the knot every time. Pad every edge the backup could reach after a failure.

## Legends, labels and axes

frame-legend-main = main webbing (thick line)
frame-legend-backup = backup webbing (thin line)
frame-legend-backup-rope = backup rope (thin line)
frame-legend-chord = straight line from anchor to anchor
frame-legend-tape = { $style }, holds { $line } ({ $count })
frame-legend-tie = tie, holds both lines for good ({ $count })
frame-legend-some-tapes = whole line: 1 tape in { $every } is drawn
frame-legend-walker = place of the walker (symbol, not to scale)
frame-holds-both = both lines
frame-holds-main = the main
frame-holds-backup = the backup
frame-main = main
frame-backup = backup
frame-main-at = main at { $end }
frame-tape = tape { $number }
frame-bay = bay { $number }
frame-anchor = anchor { $end }
frame-tight = tight
frame-scale-tall = { $length }   (heights drawn { $times } times too large)
frame-below-a = { $height } below A
frame-above-a = { $height } above A
frame-level-a = level with A
frame-ground-down = ground { $depth } down
frame-ground-down-off = ground { $depth } down, off the picture
frame-from-a = from A
frame-from-b = from B
frame-right-of = looking from A to B
