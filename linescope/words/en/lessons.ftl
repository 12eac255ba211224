# Lessons for a workshop, each on one page.

lessons-ask = Ask
lessons-show = Show
lessons-tell = Say
lessons-knob = Turn one knob
lessons-basis = A model with webbings of the library, from memory; both lines of one webbing, tapes where they were taped. Plan, not permission.

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
lessons-pen-marks-alike = On this rig the four hardly differ: pull the line harder, or mark less, to see it.
