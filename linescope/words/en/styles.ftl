# Tape styles side by side.

styles = What differs, the same rig and inputs for all: { $crossings } crossings there and back and { $wind } of wind
styles-question = What does each tape style do on this rig, and what does it cost?
styles-style = Style

## Columns

styles-named-sliders = sliders
styles-named-mixed = the rig as planned
styles-named-both = tapes that hold both lines
styles-named-main = tapes that hold the main
styles-named-backup = tapes that hold the backup
styles-rows-mixed = as planned
styles-rows-both = { $planned ->
        [both] as planned: hold both
       *[other] hold both
    }
styles-rows-main = { $planned ->
        [main] as planned: hold the main
       *[other] hold the main
    }
styles-rows-backup = { $planned ->
        [backup] as planned: hold the backup
       *[other] hold the backup
    }
styles-rows-what = what

## Rows

styles-row-family = shown as
styles-row-taped = loops as taped
styles-row-shallowest = shallowest loop after a crossing
styles-row-deepest = deepest loop after a crossing
styles-row-shaken = loops shaken (a fifth of the hold)
styles-row-settled = loops settled (none of it)
styles-row-hung = run through a tape when hung
styles-row-slip = through a tape in a crossing
styles-row-reach = farthest from where it was taped
styles-row-main-top = rub on the main's top
styles-row-main-underside = rub on the main's underside
styles-row-backup-top = rub on the backup's top
styles-row-backup-underside = rub on the backup's underside
styles-row-strip = rub on one strip
styles-row-force = force over a tape
styles-row-tape = tape
styles-row-time = time
styles-band = { $value } ({ $band })

## Families of one style

styles-made = Families that a style can be made of: they move alike
styles-made-family = family
styles-made-inner = inner faces
styles-made-strip = on one strip
styles-made-tape = tape
styles-made-time = time

## What follows

styles-failed = No result for { $names }.
styles-nothing-slips = With these holds no slider slips in a crossing: what tells the styles apart here is wind and strain.
    .title = No slider slips in a crossing here: what tells the styles apart is rub by wind and strain
styles-only-low = With the hold as given no slider slips in a crossing; it does at the low end of the hold.
styles-verdict = { $won ->
        [0] Nothing is best with { $style }
       *[other] Best with { $style }: { $wins }
    }. { $paid ->
        [0] { "" }
       *[other] The price: { $pays }.{ " " }
    }{ $why }
styles-neither = { $style }: best in nothing, worst in nothing. { $why }
styles-win = { $what } ({ $value }; elsewhere up to { $other })
styles-pay = { $what } ({ $value }; elsewhere down to { $other })
styles-want-loops = change of loops in a crossing
styles-want-main = rub on the main
styles-want-backup = rub on the backup
styles-want-force = force over a tape
styles-want-time = time to tape
styles-why-mixed = It is a mixture of the others.
styles-why-both = Nothing slides, so every change of the main goes into the loops and every difference of pull stays on a tape; what is rubbed is always the same marks.
styles-why-main = The backup can run through the tapes: what runs rubs on their strips and spares the main, and loops grow where it collects and shrink elsewhere.
styles-why-backup = The tapes can run along the main with their loops: loops keep their length, and what runs rubs the tensioned main.
styles-parts = The styles part at { $drag } a tape, a hung weight of { $mass }: with more drag than that { $style } slip nowhere in a crossing. Below it number { $tape } slips first{ $many ->
        [yes] , from { $half } down half of them do
       *[no] { "" }
    }. They have { $given }.
    .title = Sliders can slip here: only tapes that carry a hung weight of { $mass } keep every loop in a crossing
styles-holds-still = As given, { $given } a tape, { $style } slip nowhere in a crossing. The styles part at { $drag }, a hung weight of { $mass }: below it number { $tape } slips first{ $many ->
        [yes] , from { $half } down half of them do
       *[no] { "" }
    }.
    .title = As given no slider slips in a crossing; tapes that a hung weight of { $mass } pulls through would
styles-never-parts = Friction alone keeps { $style } from slipping in a crossing, whatever their drag.
    .title = No slider slips in a crossing here, whatever its drag: rub by wind and the work of taping tell the styles apart
styles-alike = Alike in all: { $rows }.
styles-wrapped = Where a loop wraps the main, tapes that hold the backup rub always the same spot of the backup; through tapes that hold the main another bit of backup comes each time (common practice).
styles-same-hold = Families that hold the same line move alike here because their hold is the same input: hang a weight on a sample of each and give each its own.
styles-chalk = A test for a crew: chalk the lines under three strips of each style, walk five crossings, and look which face is wiped.

## The picture

styles-under = { $name } · { $state } · bars: work of rub a metre, the longest { $most }
styles-picture-mixed = The rig AS PLANNED
styles-picture-both = Tapes that hold BOTH LINES
styles-picture-main = Tapes that hold THE MAIN: the backup runs through them
styles-picture-backup = Tapes that hold THE BACKUP: they move on the main
styles-picture-all = What differs, and between the ends of the hold
styles-picture-planned = { $caption }, as planned
styles-picture-follows = What follows
styles-picture-state = { $crossings } crossings, { $wind } of wind, the same rig and hold for every style
