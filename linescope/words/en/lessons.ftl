# Lessons for a workshop: on one page to print, on a page to play, as a film.

lessons-ask = Ask
lessons-show = Show
lessons-knob = Turn one knob
lessons-basis = A model, not permission.

## The same pen marks on four webbings

lessons-pen-marks-question = The same pen marks on four webbings: which keeps its loop under a walker?
lessons-pen-marks-setup = { $span } line; { $excess } more backup, marked on slack webbing. The same bay three times, true to scale.
lessons-pen-marks-ground = On the ground, slack
lessons-pen-marks-ground-of = as marked, bay of { $bay }
lessons-pen-marks-hung = Hung at { $tension }
lessons-pen-marks-hung-of = nobody on it
lessons-pen-marks-walked = { $mass } on it
lessons-pen-marks-walked-of = { $away } bays from the feet
lessons-pen-marks-depth = { $depth }
lessons-pen-marks-gone = { $depth }: gone, pulls { $pull }
lessons-pen-marks-say = The stretch of the main comes out of the loop. Mark for the state you will walk in.
lessons-pen-marks-needed = For { $depth } with the walker on, mark: { $each }.
lessons-pen-marks-needed-each = { $excess } on { $webbing }
lessons-pen-marks-watch-text = First the line is hung, then somebody walks from A to the middle. Dashed is what was marked: nobody made a mistake with the pen.
lessons-pen-marks-ask-text = Read the question. A show of hands for each webbing, before anything is uncovered.
lessons-pen-marks-show-text = Uncover one column after the other. On the ground all four are alike: nobody made a mistake with the pen.
lessons-pen-marks-knob-text = { $gone ->
    [yes] At { $tension } next to nothing of the loop of { $webbing } is left with nobody on it ({ $depth }), and its backup pulls { $pull }.
   *[no] At { $tension } the loop of { $webbing } is { $depth } deep with nobody on it, and its backup pulls { $pull }.
}
lessons-pen-marks-dashed = Dashed: the loop as marked.
lessons-pen-marks-basis = Webbings of the library, from memory; both lines of one webbing, tapes where they were taped.
lessons-pen-marks-alike = All four webbings keep nearly the same loop here: to see them part, pull the line harder, or mark less backup.

## A few grams of hold

lessons-ten-grams-question = How many grams must a tape hold, for the slack to stay where it was taped?
lessons-ten-grams-setup = { $span } line, { $lies ->
    [lower] B { $drop } below A,{" "}
    [higher] B { $drop } above A,{" "}
   *[level] {""}
}main-held sliders, all alike. Main drawn straight and level, depths { $factor } times as large.
lessons-ten-grams-end = { $lies ->
    [lower] B, { $drop } lower
    [higher] B, { $drop } higher
   *[level] B
}
lessons-ten-grams-hold = a tape holds
lessons-ten-grams-loops = dashed: hung; full: after one walk there and back
lessons-ten-grams-deepest = deepest loop
lessons-ten-grams-ran = most through one tape
lessons-ten-grams-free = nothing
lessons-ten-grams-mass = { $mass }
lessons-ten-grams-depths = { $hung }, then { $walked }
lessons-ten-grams-through = { $hung } hung, { $walked } to and fro
lessons-ten-grams-answer = { $which ->
    [all] Main held: here any hold keeps it.
    [never] Main held: here even { $short } do not keep it.
    [between] Main held: it takes { $enough } here, { $short } are too few.
   *[none] Nothing was tried.
} Still while hanging is not still while walking.
lessons-ten-grams-backup = Backup held: it takes { $enough }.
lessons-ten-grams-watch-text = First the line hangs still; then somebody walks there and back; then look what has run. Turn the knob: with how few grams does it run by itself?
lessons-ten-grams-moved = With { $mass } nothing ran when the line was hung, and { $ran } ran through one tape in a walk: the deepest loop is { $depth } then.
lessons-ten-grams-still = With { $mass } nothing runs at all.
lessons-ten-grams-ask-text = Read the question. Let everybody name a number of grams before a row is uncovered.
lessons-ten-grams-show-text = Uncover the rows from below. First nothing moves; then a walk moves what hung still; then the line runs by itself.
lessons-ten-grams-knob-text = Hang a small weight on a sample tape of the crew's own and find the row. Then lower anchor B, or raise it level, and print again.
lessons-ten-grams-basis = In both states the line is empty: he has walked off again. The hold is that weight alone, besides the scene's friction; tapes usually hold more than most rows. No bounce, no ring that pushes tapes.
lessons-ten-grams-alike = Even with sliders that hold nothing the loops hardly change here. To see it, lower anchor B, make some bays longer, or mark more backup (backup.excess).

## Winding a tape

lessons-wind-a-tape-question = Which side of the strip is up, where does it go first, and where does it end?
lessons-wind-a-tape-say = What a tape does is decided by which line its glue meets.
lessons-wind-a-tape-setup = Lines { $width } wide, tape { $tape } wide. Thicknesses are drawn larger than they are; widths are true, and so is where everything ends.
lessons-wind-a-tape-spoken = Two lines and a strip of tape that is wound round them
lessons-wind-a-tape-along = Along the strip
lessons-wind-a-tape-knob = tape
lessons-wind-a-tape-slipped = laid
lessons-wind-a-tape-right-mode = as it should be
lessons-wind-a-tape-along-mode = { $slipped } off lengthways
lessons-wind-a-tape-aside-mode = { $slipped } off sideways
lessons-wind-a-tape-turned = Drawn as it is taped, with the backup on top; rigged, it lies below.
lessons-wind-a-tape-ask-text = The hatched face is sticky. Which line can still run when the strip is wound, and where does its end lie?
lessons-wind-a-tape-basis = Every way is computed from the sizes of lines and tape. How a crew winds, and that an end stays where it lies underneath, is common practice, no source.
lessons-wind-a-tape-keys = Keys: space on, Page up back; left and right along the strip, up and down another tape; s how it is laid, p play, f whole screen, 0 from the beginning. Drag to look round.
lessons-wind-a-tape-end = end
lessons-wind-a-tape-glued = glue meets it
lessons-wind-a-tape-dry = no glue meets it: it runs
lessons-wind-a-tape-ends = It ends { $lies }: underneath, where no foot and no leash ring lifts it.
lessons-wind-a-tape-holding = { $family }, { $held } held
lessons-wind-a-tape-sticky-up = sticky side up
lessons-wind-a-tape-sticky-down = sticky side down
lessons-wind-a-tape-sticky-near = sticky side towards you
lessons-wind-a-tape-sticky-far = sticky side away from you
lessons-wind-a-tape-slip-told = Dry beyond the sliding line: { $left }. Glue open to it: { $glue }. End: { $end }. Then it is: { $becomes }.
lessons-wind-a-tape-show-text = Cover the steps. Let everybody wind one strip round two short pieces of webbing, then uncover step by step. Last the section: count the layers between the lines, and pull.
lessons-wind-a-tape-knob-text = Wind one a little wrongly, and pull again.
lessons-wind-a-tape-wrong = With { $what } – { $style }.

## Rows of the same line

lessons-style-both = Fixed wraps
lessons-style-main = Main-held sliders
lessons-style-backup = Backup-held sliders
lessons-rows-setup = { $span } of { $webbing } at { $tension }, { $lies ->
    [lower] B { $drop } below A,{" "}
    [higher] B { $drop } above A,{" "}
   *[level] {""}
}bays of { $bay }{ $even ->
    [yes] {""}
   *[no] {" "}on average
}, { $excess } more backup. { $how } { $scale }
lessons-rows-setup-any = { $span } at { $tension }, bays of { $bay }, { $excess } more backup. { $how } { $scale }
lessons-rows-scale = { $times ->
    [1] True to scale.
    [2] Loops drawn twice as deep.
   *[other] Loops drawn { $times } times as deep.
}
lessons-rows-deepest = deepest loop { $depth }
lessons-rows-two = { $short } and { $deep }
lessons-rows-short-long = short bay { $short }, long { $deep }
lessons-rows-under = deepest: under the feet
lessons-rows-just-behind = deepest: just behind the feet
lessons-rows-just-ahead = deepest: just in front of feet
lessons-rows-behind = deepest: behind the feet
lessons-rows-ahead = deepest: in front of the feet
lessons-rows-loop-of = loop { $number }: { $depth }; least { $least }
lessons-rows-none-stands-out = no loop stands out
lessons-rows-all = all { $low } to { $high }
lessons-rows-drawn-in = tapes drawn into long bays
lessons-rows-loop = loop { $number }: { $depth }
lessons-rows-taped = taped { $taped }, shaken { $shaken }
lessons-rows-settled = settled: deepest loop { $depth }
lessons-rows-marked = marked { $depth } deep
lessons-rows-pull = backup pulls { $pull }
lessons-rows-still = nothing slides
lessons-rows-no-ran = nothing ran
lessons-rows-ran = { $length } ran through one tape
lessons-rows-no-walked = no tape moved
lessons-rows-walked = one tape moved { $length }
lessons-rows-each = { $value }: { $depth }
lessons-rows-nothing = This line shows next to nothing of it.
lessons-rows-key = Two tones: the bay each piece was taped in. Arrows: what slid, how far. Faint: loops as taped.

## Where did the slack go

lessons-where-slack-goes-question = Three styles, the same slack. Where is it once nothing sticks?
lessons-where-slack-goes-row-setup = Taped alike; shaken, until a fifth of the hold is left; settled, until none is.
lessons-where-slack-goes-say = Hold the main, and the slack runs. Hold the backup, and the tapes run.
lessons-where-slack-goes-why = Backup weighs on the lower side of each tape. Main held: it runs down through the tapes into the lowest loop. Backup held: loops keep their length, and the tapes walk down with them.
lessons-where-slack-goes-unshaken = With these tapes nothing runs by shaking to a fifth of their hold: settled shows the line without any.
lessons-where-slack-goes-alike-lower = The deepest loop hardly changes, since the line is nearly level and its bays are alike: it does with anchor B { $drop } below A, a stop of the knob.
lessons-where-slack-goes-alike-more = The deepest loop hardly changes, not even with anchor B { $drop } below A: there is little slack to run. To see it, mark more backup (backup.excess).
lessons-where-slack-goes-turned = Deepest loop with the main held, by how far B is below A: { $each }.
lessons-where-slack-goes-value = { $value }
lessons-where-slack-goes-ask-text = Show the line as taped, all three alike. Who thinks the loops stay? Who sees one large loop, and where?
lessons-where-slack-goes-show-text = Let the hold go slowly. Follow one boundary of light and dark on the backup, then on the main.
lessons-where-slack-goes-knob-text = The height of anchor B. Level, the sag of the main alone moves a little slack towards the middle.
lessons-where-slack-goes-basis = Shaken: a fifth of the hold is left, a guess. Settled: no friction left in any slider, the most that shaking can do. No wind, nobody on the line.
lessons-where-slack-goes-knob = B below A

## The slack walks with you

lessons-slack-walks-question = Somebody walks across. Where is the deepest loop then?
lessons-slack-walks-row-setup = Second walk there and back.
lessons-slack-walks-say = Sliders: at your feet, and it walks with you. Fixed wraps: no loop stands out.
lessons-slack-walks-why = Slack runs from both sides down to the feet. On the way to B the deepest loop is mostly under them or just behind, and follows; near B it is left behind. Fixed wraps: the loop under the feet is the shallowest, since the main bends into it.
lessons-slack-walks-alike = Next to no slack walks along: these sliders hold it, or there is little of it. Try sliders that hardly hold (hold.friction=0.05 and hold.drag="0.02 N"), then more backup and a main that is softer or looser.
lessons-slack-walks-alike-runs = Slack runs here, but the deepest loop does not keep to the feet: { $which ->
    [level] bays, excess or webbing that differ along the line gather it elsewhere. To see it, make bays and excess alike.
   *[slope] it gathers low on the slope. To see it, bring B nearer to the height of A (anchors.b).
}
lessons-slack-walks-turned = Deepest loop in the walk, main held, by friction: { $each }.
lessons-slack-walks-value = { $value }
lessons-slack-walks-ask-text = He walks to the right, then back. Hands up for in front of, under or behind his feet; for each style.
lessons-slack-walks-show-text = Walk on and watch a single boundary of light and dark. Then look at one tape through the lens: which pen mark has left it?
lessons-slack-walks-knob-text = The friction of the sliders. A little more of it, and most of this is gone: the lesson is fragile.
lessons-slack-walks-basis = Loops count from A, on the left; the one under the feet is measured from the bent main. Drag and friction of the shipped line: a demonstration, under what tapes usually have. No bounce, no ring pushing tapes.
lessons-slack-walks-knob = friction

## Uneven spacing

lessons-uneven-spacing-question = Short and long bays in turn. Will sliders even the loops out?
lessons-uneven-spacing-row-setup = The same share of slack in every bay; hung, empty. Eight bays shown.
lessons-uneven-spacing-say = No. Where a line can run through tapes, long bays take the slack of short ones.
lessons-uneven-spacing-why = A long loop pulls harder than a short one. Main held: it pulls backup out of its neighbours, through the tapes, until all pull alike. Backup held: it pulls its two tapes together, and in a shorter bay the same loop is deeper. Either way sliders make uneven bays worse.
lessons-uneven-spacing-alike-even = All bays of this line are alike, so there is nothing for sliders to even out: turn the knob, or give taping.zones a pattern of short and long bays.
lessons-uneven-spacing-alike-held = The bays of this line differ, but its tapes hold too much for backup to run from one to the next: try sliders that hardly hold (hold.friction=0.05 and hold.drag="0.02 N").
lessons-uneven-spacing-turned = Deepest loop with the main held, by how much longer than the mean the long bays are: { $each }.
lessons-uneven-spacing-value = { $value }
lessons-uneven-spacing-ask-text = Who thinks that sliders help? Who thinks that it makes no difference?
lessons-uneven-spacing-show-text = First as taped: twice the bay, twice the depth. Then let what does not hold run.
lessons-uneven-spacing-knob-text = How uneven the bays are. Evenly spaced, sliders change nothing.
lessons-uneven-spacing-basis = Drag and friction of the shipped line are a demonstration, well under what tapes usually have. Sliders do repair one thing: a loop that was cut too long.
lessons-uneven-spacing-knob = long bays over the mean

## A tape is not a tie

lessons-ties-question = The main is gone. Which taping style stops the fall sooner?
lessons-ties-row-setup = The main parts where the walker stands. As low as energy lets the feet get.
lessons-ties-say = None: all three alike. A tape is not a tie.
lessons-ties-why = No tape holds such a fall: all slack of the line comes together under the walker, whatever the style. Ties, sewn or hardware that holds kilonewtons, keep the slack beyond them out of the fall; slack between two ties is slack you fall.
lessons-ties-alike = Ties change little here: there is hardly any slack to keep out of the fall. To see it, mark more backup (backup.excess).
lessons-ties-turned = Feet at the lowest below the line between the anchors, by number of ties: { $each }.
lessons-ties-value = { $value }
lessons-ties-ask-text = Hands up for each of three styles, then for "all alike".
lessons-ties-show-text = First tape alone. Then one tie more, and again.
lessons-ties-knob-text = The number of ties, evenly along the line.
lessons-ties-key = Pale: the line as he stood on it. Rings: ties, on the backup below where they stood.
lessons-ties-basis = A bound from energy, not a course: lines, leash and body store all of the fall. Tapes hold nothing, ties hold everything; the ring runs over ties.
lessons-ties-knob = ties
lessons-ties-feet = feet { $depth } below A–B
lessons-ties-pull = { $pull } in the backup
lessons-ties-standing = standing
lessons-ties-alike-all = all three styles alike
lessons-ties-fall = feet { $fall } below where he stood
lessons-ties-less = { $less } less than on tape alone
lessons-ties-tape = Tape alone
lessons-ties-row = { $count ->
    [one] One tie
   *[other] { $count } ties
}

## Who wears

lessons-who-wears-question = Ten crossings and a windy day. Which side of which line wears?
lessons-who-wears-row-setup = Four bays shown, the two lines drawn apart.
lessons-who-wears-say = Tapes that hold only the backup wear the main. The others wear the backup.
lessons-who-wears-why = Most of it is the wind's: a swinging loop turns at its tape's edge even where it cannot slide, so fixed wraps rub as much. Taped fast or running in its tape, the backup rubs its own underside; a tape that holds the backup swings along and rubs the main's top, the line that bears you. Thin glow: the leash ring.
lessons-who-wears-alike = The faces hardly differ here. To see it, turn the knob to more hours of wind, or try sliders that hold less (hold.drag).
lessons-who-wears-turned = Worst of wraps, main-held, backup-held, by hours of wind: { $each }.
lessons-who-wears-each = { $value }: { $both }, { $main }, { $backup }
lessons-who-wears-value = { $value }
lessons-who-wears-none = none
lessons-who-wears-ask-text = Four sides: top and underside of the main, top and underside of the backup. Hands up for each, style by style.
lessons-who-wears-show-text = Crossing after crossing. Look at one tape in all three rows: on which side does it glow?
lessons-who-wears-knob-text = The hours of wind. With none, what is left is the leash ring and what slides under the walker.
lessons-who-wears-basis = Glow: friction work for each metre of a side, the most beside each tape; on the left, the most on the line. Good to a factor of five, no measure of what webbing still holds. Lips, edges and grit are worse, and left out. Hold and friction as tapes usually have; rub goes with friction.
lessons-who-wears-knob = wind
lessons-who-wears-about = about { $rub }
lessons-who-wears-main = main: top { $top }, under { $under }
lessons-who-wears-backup = backup: top { $top }, under { $under }
lessons-who-wears-strip = strip of a tape { $work }

## Ten grams and pen marks, as rows

lessons-ten-grams-row-setup = Hung, and walked there and back once.
lessons-ten-grams-row-basis = The hold is that weight alone, besides the scene's friction; tapes usually hold more than most settings. No bounce, no ring that pushes tapes.
lessons-ten-grams-knob = a tape holds
lessons-ten-grams-with = each tape holding { $mass }:
lessons-ten-grams-value = { $value }
lessons-ten-grams-why = A walk tilts the bays beside the feet: that slope, not the line's own, decides. Hang a weight on a sample of your own tapes before you trust any picture.
lessons-pen-marks-row-setup = Only the webbing differs. One bay of each, { $away } from the middle, where the walker ends.
lessons-pen-marks-knob = tension
lessons-pen-marks-value = { $value }
lessons-pen-marks-why = Marks made on slack lines are right for slack lines only. The main stretches under tension and again under the walker; the loop pays for it.

## The page of a lesson

lessons-page-spoken = The same line in rows, one style under the other
lessons-page-time = State
lessons-page-back = Back
lessons-page-show = Show it
lessons-page-answer = The answer
lessons-page-play = Play
lessons-page-stop = Stop
lessons-page-lens = Lens
lessons-page-lens-key = The tape that slid most. Lengths along the line are true to one scale; the tape is 25 mm wide, webbings are drawn thicker than they are. White ticks: pen marks made when it was taped.
lessons-page-keys = Keys: space on, Page up back; left and right state by state, up and down the knob; l lens, p play, f whole screen, 0 from the beginning.
lessons-moment-taped = as taped
lessons-moment-marked = as marked
lessons-moment-shaken = shaken: a fifth of the hold left
lessons-moment-settled = settled: no hold left
lessons-moment-hung = hung
lessons-moment-slipping = letting go
lessons-moment-rest = at rest
lessons-moment-walker = at { $at }, to B
lessons-moment-back = at { $at }, back to A
lessons-moment-after = after the walk
lessons-moment-standing = standing
lessons-moment-crossings = { $count ->
    [one] { $count } crossing
   *[other] { $count } crossings
}
lessons-moment-lowest = main gone
