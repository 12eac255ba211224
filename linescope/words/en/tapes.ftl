# Tapes: how each kind is made, where its strip ends, what it takes.
# Of a family: its name, and under it -slides, -costs, -wrong and -torn.  Of a beginning: its steps, for pictures and text.

tapes = Kinds of tape
tapes-kinds = Kinds of tape
tapes-question = How is each tape made, and where does its strip end?
tapes-practice = Common practice, no source.
tapes-main = main
tapes-backup = backup
tapes-both = both
tapes-top = top
tapes-side = side
tapes-underside = underside
tapes-lies-top = main's outer face
tapes-lies-side = side
tapes-lies-underside = backup's outer face

## Families

tapes-family-fixed-wrap = fixed wrap
tapes-family-fixed-wrap-slides = Nothing: the loop between two of these tapes keeps its length.
tapes-family-fixed-wrap-costs = The least tape and the least time. Bending wears both lines at the same spot for as long as the tape stays, and both get glue.
tapes-family-fixed-wrap-wrong = Every stretch of the main goes straight into loop depth. An end on top or at an edge is lifted by feet and by the leash ring.
tapes-family-fixed-wrap-torn = Torn, two loops become one deep one.

tapes-family-main-held-slider = main-held slider
tapes-family-main-held-slider-slides = The backup runs through the dry tail; the tape stays where it is on the main.
tapes-family-main-held-slider-costs = More strip than a fixed wrap, and two steps more. The backup rubs on the strip's back all round, not on the main.
tapes-family-main-held-slider-wrong = Backup collects in the lowest loops or beside the walker: one grows, its neighbours shrink. Glue that reaches the backup at a rim makes it a fixed wrap.
tapes-family-main-held-slider-torn = Torn, the strip still goes round the main and is not dropped on what is below.

tapes-family-backup-held-slider = backup-held slider
tapes-family-backup-held-slider-slides = The main runs through the dry tail: loops keep their length while tapes wander along the main.
tapes-family-backup-held-slider-costs = More strip than a fixed wrap, and two steps more. The tensioned main rubs on the strip's back all round.
tapes-family-backup-held-slider-wrong = Tapes wander to the low point and bunch; where two touch, their loop hangs folded and deep. Glue that reaches the main at a rim makes it a fixed wrap.
tapes-family-backup-held-slider-torn = Torn, the strip still goes round the backup and is not dropped on what is below.

tapes-family-tucked-tab-slider = tucked-tab slider
tapes-family-tucked-tab-slider-slides = Whichever line the tab goes round; the tape grips the other. Over two thirds of the face line lies on line.
tapes-family-tucked-tab-slider-costs = One strip, and it can be opened for a look. Friction differs from tape to tape, with how the tab lies.
tapes-family-tucked-tab-slider-wrong = Where much slides, the tab is pulled out and the tape unwinds turn by turn. A tab cut short leaves glue at the sliding line's far edge.
tapes-family-tucked-tab-slider-torn = Torn, it is stuck to one face and the edges of the line it grips and goes round nothing: it can come off and fall.

tapes-family-cloth-patch-slider = cloth-patch slider
tapes-family-cloth-patch-slider-slides = Whichever line the cross piece goes round; the tape grips the other. Nothing lies between the lines: line rubs on line over the whole inner face.
tapes-family-cloth-patch-slider-costs = Two pieces a tape, the slowest to make; soft underfoot, strong. It leaves residue and holds water and grit.
tapes-family-cloth-patch-slider-wrong = In heat the glue flows and lets go of the held line. A little off centre, the dry part no longer covers the sliding line.
tapes-family-cloth-patch-slider-torn = Torn, it is stuck to one face and the edges of the line it grips and goes round nothing: it can come off and fall.

## Steps, by how a strip begins.  Near is towards you; the lines run from left to right.  Below: the held line lies underneath.

tapes-terms = Before each tape: both lines flat, no half-twist since the last one. Near: towards you. Edges: those of the lines. Rims: the two long sides of the strip. A turn: once round both lines.

tapes-step-lead-1 = Lay the two lines flat on each other, backup below. Lay the strip across the main, sticky side down; its end, the lead, hangs { $first } over the near edge.
tapes-step-lead-2 = Fold the lead down both near edges and under: it ends in the middle of the underside.
tapes-step-lead-3 = Wind the long end away from you round both lines, firmly, each turn flush on the one before, the last half turn without pull, until it is used up: { $turns } turns, lead and all.
tapes-step-lead-4 = Roll both lines over, backup on top, to look: the end lies { $end }. Pull both lines: neither may run.

tapes-step-enclosing-1 = The { $held } { $below ->
        [yes] underneath. Strip between the lines, sticky side down
       *[no] on top. Strip between the lines, sticky side up
    } against the { $held }, square to it; the short end, { $first }, sticks out towards you.
tapes-step-enclosing-2 = Long end { $below ->
        [yes] under the { $held } towards you, up
       *[no] over the { $held } towards you, down
    } its near edge and on to the short end, glue to glue, rims flush: a tail that is dry on both faces.
tapes-step-enclosing-3 = { $below ->
        [yes] Tail up round the { $sliding }: near edge, top side, far edge, and down
       *[no] Tail down round the { $sliding }: near edge, underside, far edge, and up
    } on to the { $held }. No glue may touch the { $sliding }. Steps 2 and 3 count as the first turn.
tapes-step-enclosing-4 = Wind on the same way round both, sticky side in, the last half turn without pull, until it is used up: { $turns } turns, the first counted in. Each flush on the one before: a rim that sticks out glues the { $sliding }.
tapes-step-last = { $turned ->
        [yes] Roll both lines over, backup on top, to look: the end lies { $end }.
       *[no] The end lies in sight, { $end }. Rigged, the main is on top.
    } Pull the { $sliding } both ways: it must run.

tapes-step-tab-1 = Strip sticky side up, pointing away from you. Fold its far { $first } over towards you, glue to glue, rims flush: a tab that is dry on both faces.{ $below ->
        [yes] { "" }
       *[no] { " " }Turn the strip over, sticky side down.
    }
tapes-step-tab-2 = The { $held } { $below ->
        [yes] underneath, the strip sticky side up.
       *[no] on top.
    } Push the tab between the lines from the near edge, fold first, { $tuck } deep.
tapes-step-tab-3 = { $below ->
        [yes] Tab up round the { $sliding }: near edge, top side, far edge, and down
       *[no] Tab down round the { $sliding }: near edge, underside, far edge, and up
    } on to the { $held }. No glue may touch the { $sliding }.
tapes-step-tab-4 = Wind on the same way round both, sticky side in, the last half turn without pull, until it is used up: { $turns } turns, step 3 counted as the first. Each flush on the one before: a rim that sticks out glues the { $sliding }.

tapes-step-patch-1 = Strip sticky side up, pointing away from you. Lay the cross piece, { $piece } of the same tape, across it, glue to glue, { $first } from the far end, centred: its wings stick out on both sides.
tapes-step-patch-2 = Fold the wings round the rims and stick them to the strip's back. Now it is sticky for { $first }, dry for { $zone } (the tape's width), sticky to its near end.{ $below ->
        [yes] { " " }Turn the strip over, sticky side down.
       *[no] { "" }
    }
tapes-step-patch-3 = { $below ->
        [yes] The { $held } underneath, the { $sliding } on it. Lay the middle of the dry part on the { $sliding }. Short end down the far edges
       *[no] The { $held } on top. Lay the { $sliding } on the middle of the dry part and the { $held } on it. Short end up the far edges
    } and on to the { $held }. Nothing lies between the lines.
tapes-step-patch-4 = Wind the long end { $below ->
        [yes] down
       *[no] up
    } the near edges and round both, sticky side in, each turn flush on the one before, the last half turn without pull, until it is used up: { $turns } turns, short end and all.

tapes-end-middle = in the middle of the { $lies }
tapes-end-past = on the { $lies }, { $past } from the edge it came over
tapes-try = Then try it by hand: { $count ->
        [0] nothing may run.
       *[other] pull the { $sliding } through, both ways, over its whole loop; a tape that holds is cut off and made again.
    }
tapes-one-go = A whole line in one go: with the { $held } on top all along, every strip goes in from the same side. With the backup on top every end is laid in sight, and lies underneath once rigged.
tapes-spoil = Keep rims flush and the strip square: sideways there is nothing to spare. { $skew } off square, or a rim that sticks out, and glue meets the { $sliding }.
tapes-spoil-left = Along the strip { $left } of dry tail are to spare.
tapes-spoil-tab = Keep rims flush and the fold square: sideways there is nothing to spare. { $skew } off square, or a rim that sticks out, and glue meets the { $sliding }.
tapes-spoil-tab-left = The tab's tip lies { $tuck } deep between the lines. Where much slides it pulls out in time: look for it.
tapes-spoil-patch = Keep the { $sliding } in the middle of the dry part and rims flush: sideways there is nothing to spare, and a rim that sticks out lets glue meet the { $sliding }.
tapes-spoil-patch-left = Along the strip { $left } of dry part are to spare at each end.
tapes-first-strip = Wind one, look, correct: { $webbing } of webbing, { $tape } of tape or { $pull } of pull move an end by { $low } to { $high }, and it has { $room } either way. Give the first tape's end, or one measured turn, in the scene file, [tape], and all lengths are computed anew.

## Parts of the strip, and what the pictures say

tapes-part-lead = lead
tapes-part-short = short end
tapes-part-between = between the lines
tapes-part-around = round the { $held }
tapes-part-tail = on the short end
tapes-part-fold = folded back
tapes-part-tab = tab
tapes-part-dry = dry: the cross piece
tapes-part-wound = round both, sticky side in
tapes-mark-lead = lead
tapes-mark-short = short end
tapes-mark-fold = fold
tapes-mark-turn = turn { $number }
tapes-strip = The strip by itself, { $length }, seen on its sticky side
tapes-stuck-enclosing = stuck together: the dry tail{ $longer ->
        [yes] , a little longer outside
       *[no] { "" }
    }
tapes-stuck-tab = stuck together: the tab
tapes-key-sticky = sticky side
tapes-key-dry = dry side
tapes-key-held = { $line }: held, { $below ->
        [yes] underneath
       *[no] on top
    } while taping
tapes-key-slides = { $line }: slides
tapes-key-both = { $line }: held
tapes-card = { $family }, holds the { $held }
tapes-card-under = Tape { $width } wide, { $thickness } thick: cut { $length }{ $pieces ->
        [0] .
        [one] , and a cross piece of { $piece }.
       *[other] , and { $pieces } cross pieces of { $piece }.
    } { $turns } turns. For a main of { $main } and a backup of { $backup }.
tapes-card-flat = { $width } x { $thickness }
tapes-card-rope = { $width } rope
tapes-card-drawn = Thicknesses are drawn larger. Small: the section, near edge on the { $side ->
        [left] left
       *[right] right
    }.
tapes-section-lies = Finished, as it lies while taping
tapes-no-glue = No glue may touch the { $sliding }.
tapes-both-glue = Both lines get glue.
tapes-label-short = short end, { $first }
tapes-label-long = long end
tapes-label-tail = dry tail
tapes-label-wrapped = { $held } wrapped all round
tapes-label-sticky-again = sticky
tapes-label-tip = tail ends on the { $held }
tapes-label-tab-tip = tab ends on the { $held }
tapes-label-in-tail = { $sliding } lies in the dry tail
tapes-label-in-tab = { $sliding } lies in the tab
tapes-label-flush = rims flush
tapes-label-end = end, laid without pull
tapes-label-one-layer = one layer between the lines
tapes-label-tab-inside = tab's tip between the lines
tapes-label-nothing = nothing between the lines
tapes-label-dry-to = dry to the { $sliding }
tapes-label-begins = begins
tapes-label-ends = ends
tapes-label-lead = lead, { $first }
tapes-label-lead-end = lead ends in the middle
tapes-label-fold = fold
tapes-label-tab = tab, dry on both faces
tapes-label-glue-begins = sticky
tapes-label-piece = cross piece, { $piece } across
tapes-label-wing = wing
tapes-label-no-rim = no glue at the rims
tapes-label-back = back: wings stuck down
tapes-label-turn-over = turn over
tapes-label-from-below = seen from below
tapes-label-dry = dry, { $zone }
tapes-label-first = { $first }
tapes-label-centred = { $sliding } in the middle of the dry part
tapes-label-short-on = short end on the { $held }
tapes-across-strip = across the strip

## Figures

tapes-kinds-family = tape
tapes-kinds-holds = holds
tapes-kinds-count = tapes
tapes-kinds-strip = strip to cut
    .head = strip
tapes-kinds-first = lead, short end or tab
    .head = first
tapes-kinds-pieces = cross pieces a tape
    .head = cross pieces
tapes-kinds-piece = cross piece
tapes-kinds-turns = turns
tapes-kinds-end = its end lies
tapes-kinds-whole = cut for whole turns
tapes-kinds-dry = dry part
tapes-kinds-between = between the lines

tapes-pieces = { $count } x { $length }
tapes-end-on = { $face }, { $edge } from the nearer edge
tapes-stays = { $length }: { $end }
tapes-cut-or-add = { $length }: { $end }; cut { $cut } or add { $add }
tapes-only-add = { $length }: { $end }; add { $add }
tapes-nothing-slides = nothing slides
tapes-covered = { $left } beyond the { $sliding }
tapes-not-covered = { $left } SHORT: glue reaches the { $sliding }
tapes-less-than-asked = { $left } beyond the { $sliding }, less than the { $margin } asked for
tapes-between-none = line on line
tapes-between-layer = { $layers ->
        [one] one layer of strip
       *[other] { $layers } layers of strip
    }, no line on line
tapes-between-part = tab over { $covered } of the face, line on line beside it

tapes-totals = Tape, time and lengths
tapes-total-what = What
tapes-total-much = How much
tapes-total-tapes = Tapes
tapes-total-strips = Strips together
tapes-total-pieces = Cross pieces
tapes-total-pieces-value = { $count }, together { $length }
tapes-total-strong = Thin strong tape with { $waste } waste
tapes-total-cloth = Cloth tape with { $waste } waste
tapes-total-rolls = { $length } ({ $count ->
        [one] 1 roll
       *[other] { $count } rolls
    } of { $roll })
tapes-total-time = Time at { $fixed } a fixed one, { $slider } a slider, { $patch } a cloth patch
tapes-total-main = Main, unstretched, lock to lock (tails extra)
tapes-total-backup = Backup, unstretched, lock to lock (tails extra)
tapes-total-default = At its default (assumed unless you gave it)
tapes-default-width = width
tapes-default-thickness = thickness
tapes-default-roll = roll
tapes-default-cloth_width = width of the cloth
tapes-default-cloth_thickness = thickness of the cloth
tapes-default-cloth_roll = roll of the cloth
tapes-default-wraps = turns
tapes-default-waste = waste
tapes-default-pace_fixed = pace of a fixed wrap
tapes-default-pace_slider = pace of a slider
tapes-default-pace_patch = pace of a cloth patch
tapes-default-margin = margin
tapes-default-finish = finish
tapes-lengths = Backup { $backup } and main { $main }, both unstretched, lock to lock, tails extra; { $count ->
        [one] 1 tape
       *[other] { $count } tapes
    }, { $rolls ->
        [one] 1 roll
       *[other] { $rolls } rolls
    }.

tapes-list = Tapes in laying order from anchor { $from } to anchor { $to }
tapes-list-number = No.
tapes-list-tape = Tape
tapes-list-holds = Holds
tapes-list-zone = Zone
tapes-list-strip = Strip
tapes-list-anchor = anchor { $end }
tapes-list-no-tape = no tape
tapes-list-tie = tie
tapes-list-main-slack = Main, slack from { $end }
tapes-list-main-lying = Main, lying at { $strain } stretch from { $end }
tapes-list-main-rigged = Main, rigged from { $end }
tapes-list-main-middle = Main, slack from middle
tapes-list-backup-slack = Backup, slack from { $end }
tapes-list-backup-middle = Backup, slack from middle
tapes-list-unit = { $name } [{ $unit }]

## A strip wound wrongly by a little

tapes-slips = Wound wrongly by a little: what is left
tapes-slips-title = { $name }, wound wrongly by a little
tapes-slips-right = as it should be
tapes-slips-drawn = Strips keep their length. Drawn: the section as it lies while taping, or what lies on the { $sliding }, unrolled, its near edge below.
tapes-slips-drawn-fixed = Strips keep their length. Drawn: the section as it lies while taping.
tapes-slip-label-begins = begins
tapes-slip-label-dry = dry to here
tapes-slip-label-ends = ends
tapes-slip-label-glue = glue
tapes-slips-what = What is wrong
tapes-slips-left = Dry beyond the sliding line
tapes-slips-glue = Glue open to it
tapes-slips-end = The strip's end
tapes-slips-style = What it is then
tapes-slip-right = nothing
tapes-slip-short = short end { $length } instead of { $meant }
tapes-slip-fold = tab { $length } instead of { $meant }
tapes-slip-lead = lead { $length } instead of { $meant }
tapes-slip-least-short = short end { $length } or less
tapes-slip-least-fold = tab { $length } or less
tapes-slip-along = begun { $length } too far in
tapes-slip-centre = { $length } off centre
tapes-slip-aside = rims { $length } beside each other
tapes-slip-skew = { $angle } off square
tapes-slip-glue-none = none
tapes-slip-glue-wedge = { $least } to { $most } wide, { $length } long
tapes-slip-glue-strip = { $most } wide, { $length } long
tapes-slip-glue-end = at its last edge, { $most }
tapes-slip-glue-least = at its last edge, once it is any shorter
tapes-slip-slides = the line runs
tapes-slip-glued = a fixed wrap: glue holds the line
tapes-slip-less = the line runs, with less than { $margin } to spare
tapes-slip-nothing-slides = nothing slides in any case
tapes-slip-end-clear = clear of the edges
tapes-slip-end-not = { $edge } from an edge
tapes-slip-end-off = on the { $face }
tapes-slip-unknown = How much glue it takes to stop a line is not known: none is the aim.

## Notes

tapes-note-not-covered = { $family }, holds the { $held }: the dry part is { $short } too short for the { $sliding }; glue holds it like a fixed wrap.
tapes-note-less-margin = { $family }, holds the { $held }: the dry part leaves { $left } beyond the { $sliding }, less than the { $margin } asked for.
tapes-note-wider-cloth = A cloth patch of tape { $width } wide takes { $pieces } cross pieces side by side. Take cloth at least { $needed } wide, so that one serves.
tapes-note-trimmed = Cloth { $width } wide goes more than once round these lines, or all but: trim its cross pieces to { $zone } along the strip.
tapes-note-narrow-face = The { $line } is { $width } wide: an end in the middle of its face has only { $room } to either edge.
tapes-note-rope = The backup is a rope: an end under it lies on a curve, { $room } to where the face turns away. Press it on well.
tapes-note-corrected-turn = Strips follow the measured turn: the way round the lines is { $share } of what their sizes give.
tapes-note-corrected-first = Strips follow the first strip: the way round the lines is { $share } of what their sizes give.
tapes-note-thick-tape = This tape is { $thickness } thick, as cloth is: thin strong tape for wraps and sliders has { $usual } (common practice, no source).
tapes-note-hard = Lines are taken hard and sharp-edged, the strip tight and not stretched. Soft webbing takes less.
tapes-note-load = Tapes position the backup; they are no load path.

## The printed plan

tapes-plan = Tape plan
tapes-plan-page = Tape plan, page { $page }
tapes-plan-title = { $name }: tape plan
tapes-plan-subject = Tapes: cut list, marks, sections and strips at 1:1, steps
tapes-plan-caution = Plan, not permission. Tapes position the backup; they are no load path. Lines are taken hard and sharp-edged, the strip tight: soft webbing takes less. Wind one and look before cutting all.
tapes-plan-ruler = mm: measure it; if it is not { $length }, print again at full size
tapes-plan-cut = Cut { $length }{ $pieces ->
        [0] { "" }
        [one] , and a cross piece of { $piece }
       *[other] , and { $pieces } cross pieces of { $piece }
    }, from tape { $width } wide and { $thickness } thick.
tapes-plan-turns = { $turns } turns; its end lies here: { $end }.
tapes-plan-whole = Cut for { $wraps } turns it would be { $whole }.
tapes-plan-dry = Dry part: { $dry }. Way round the bare lines: { $round }.
tapes-plan-section = Section: ring, beginning; triangle, end; thick, where the sliding line runs on dry strip; grey, held line
tapes-plan-strip-heading = Strip at 1:1, sticky side towards you; millimetres along the strip
tapes-plan-steps = How to make it
tapes-plan-notes = Notes (common practice, no source)
tapes-plan-slides = What slides
tapes-plan-costs = What it costs
tapes-plan-wrong = What goes wrong
tapes-plan-torn = When it tears
tapes-plan-how = How
tapes-plan-line-held = { $line }, held
tapes-plan-line-slides = { $line }, slides

## Pictures of a rig

tapes-picture-bring = To bring, and where strips end
tapes-picture-sticky = section: strip, sticky
tapes-picture-dry = section: strip, DRY to the sliding line
tapes-picture-kind = { $count } x { $family }: cut a strip of { $length }, { $turns } turns
tapes-picture-end = { $family }: the strip's end lies on the { $end }; { $dry }.

## Tape card: what to tick off

tapes-tick-title = { $name }: tape card
tapes-tick-under = { $count ->
        [one] { $count } tape
       *[other] { $count } tapes
    }, { $strips } of strip · marks on the slack lines [{ $unit }] from the lock at { $end } · page { $page } of { $pages }
tapes-tick-kind = { $lettered ->
        [yes] { $letter } · { $name } ({ $count })
       *[no] { $name } ({ $count })
    }
tapes-tick-strip = Cut { $length }{ $pieces ->
        [0] {""}
       *[other] , and { $pieces } of { $piece }
    }.
tapes-tick-scale = widths 1:1
tapes-tick-number = No.
tapes-tick-main = main
tapes-tick-backup = backup
tapes-tick-ruler = 50 mm: measure it; if not, print again at full size. Layers are drawn thicker. Tapes position the backup; they hold no fall.
