# Lessons for a workshop, each on one page.

lessons-ask = Ask
lessons-show = Show
lessons-knob = Turn one knob
lessons-basis = A model, not permission.

## The same pen marks on four webbings

lessons-pen-marks-question = Four crews made the same pen marks. Whose loop is left under a walker?
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
lessons-pen-marks-ask-text = Read the question. A show of hands for each webbing, before anything is uncovered.
lessons-pen-marks-show-text = Uncover one column after the other. On the ground all four are alike: nobody made a mistake with the pen.
lessons-pen-marks-knob-text = At { $tension } the loop of { $webbing } is { $depth } deep with nobody on it, and its backup pulls { $pull }.
lessons-pen-marks-dashed = Dashed: the loop as marked.
lessons-pen-marks-basis = Webbings of the library, from memory; both lines of one webbing, tapes where they were taped.
lessons-pen-marks-alike = On this rig the four hardly differ: pull the line harder, or mark less, to see it.

## A few grams of hold

lessons-ten-grams-question = How many grams must a tape hold, for the slack to stay where it was taped?
lessons-ten-grams-setup = { $span } line, all sliders alike. Main drawn straight and level, depths { $factor } times as large.
lessons-ten-grams-hold = a tape holds
lessons-ten-grams-loops = dashed: hung; full: after one walk there and back
lessons-ten-grams-deepest = deepest loop
lessons-ten-grams-ran = most through one tape
lessons-ten-grams-free = nothing
lessons-ten-grams-mass = { $mass }
lessons-ten-grams-depths = { $hung }, then { $walked }
lessons-ten-grams-through = { $hung } hung, { $walked } walked
lessons-ten-grams-say = Still while hanging does not mean still while walking.
lessons-ten-grams-moved = With { $mass } nothing ran when the line was hung, and { $ran } ran through one tape in a walk: the deepest loop is { $depth } then.
lessons-ten-grams-still = With { $mass } nothing runs at all.
lessons-ten-grams-ask-text = Read the question. Let everybody name a number of grams before a row is uncovered.
lessons-ten-grams-show-text = Uncover the rows from below. First nothing moves; then a walk moves what hung still; then the line runs by itself.
lessons-ten-grams-knob-text = Hang a small weight on a sample tape of the crew's own and find the row. Then lower anchor B, or raise it level, and print again.
lessons-ten-grams-basis = Nobody on the line in either state. The hold is that weight alone, besides the scene's friction; tapes usually hold more than most rows. No bounce, no ring that pushes tapes.
lessons-ten-grams-alike = On this rig even free sliders hardly move: a slope, or bays of different length, would set them going.

## Winding a tape

lessons-wind-a-tape-question = Which side of the strip is up, where does it go first, and where does it end?
lessons-wind-a-tape-say = What a tape does is decided by which line its glue meets.
lessons-wind-a-tape-show-text = Cover the steps. Let everybody wind one strip round two short pieces of webbing, then uncover step by step. Last the section: count the layers between the lines, and pull.
lessons-wind-a-tape-knob-text = Wind one a little wrongly, and pull again.
lessons-wind-a-tape-wrong = With { $what } – { $style }.
