# Where the lines touch.

touch = Where main and backup touch
touch-touches = Where main and backup touch
touch-reach = centre lines count as touching within
touch-states = Who presses on whom, state by state
touch-between = Where the lines lie on each other away from the tapes
touch-state = State
touch-state-taped = as taped
touch-state-steady = in the steady wind
touch-state-gust = in a gust
touch-state-sudden = far end of the swing in a sudden gust
touch-state-fall = bottom of a leash fall
touch-state-thrown = after that fall, loops thrown up
touch-states-hanging = loops hang in
touch-states-most-carried = most in one strip
touch-states-pressing = loops press at
touch-states-most-pressed = most between lines
touch-states-between = pressed between tapes
touch-states-lying-over = loops that may lie over the main
touch-states-over = bays of such loops
touch-between-length = contact
touch-between-carried = hangs in the strip
touch-between-pressed = presses the lines
touch-between-bare = line on line
touch-hanging = tapes whose strip carries the loops
touch-most-carried = largest load in one strip
touch-pressing = tapes at which the loops press on the main
touch-most-pressed = largest force that presses the lines together
touch-question = Where do main and backup touch, how far, and who presses on whom?
touch-where = Where
touch-where-tape = Tape
touch-why = Why
touch-cause-tape = tape
touch-cause-anchor = anchor
touch-cause-tight-bay = tight bay
touch-cause-shallow-loop = shallow loop
touch-cause-pressed = pressed
touch-cause-over-the-main = over the main
touch-how-tape = tension of the loops beside the tape, less its part along the main
touch-how-curve = two taut lines forced to one curve, from their tensions and loads (estimate)
touch-how-free = the backup hangs by itself, nothing presses it on the main between its tapes
touch-how-weight = weight of the loop lying on the main (bound)

touch-touches-length = contact
touch-touches-carried = hangs in the strip
touch-touches-pressed = presses the lines
touch-touches-bare = line on line

touch-basis-reach = Touching: gap of the centre lines at most { $reach }, half the sum of the thicknesses plus { $tolerance } (assumed).
touch-basis-middle = Contact lengths count from the middle of a tape; under its width of { $width } the lines lie together in any case.
touch-basis-over = A loop that can come above the main may lie on it anywhere in its bay (bound).
touch-basis-rebound = The bottom of a fall is its lowest state. Which loops are thrown above the main as the line springs back is known where falls are computed in time, and only there.
touch-lies-over = In a sudden gust { $count ->
        [one] the loop of bay { $bays }
       *[other] the loops of { $count } bays ({ $bays })
    } can come above the main and lie down on it, with { $most } at the most: look up after a gust, and free any loop that lies over before anyone walks.
touch-thrown = After a leash fall the line springs back and can throw { $count ->
        [one] the loop of bay { $bays }
       *[other] the loops of { $count } bays ({ $bays })
    } above the main, where each may lie with { $most } at the most: free any loop that lies over before anyone walks on.
touch-strip-carries = At { $count } of { $total } tapes the loops hang in the strip, with up to { $most }: there the lines are not pressed on each other.
touch-lines-pressed =
    { $count ->
        [one] At one tape
       *[other] At { $count } tapes
    } the backup is taut enough to press on the main, at the most with { $most } at tape { $tape }.

## Pictures

touch-picture-hardest = Who presses on whom, hardest first
touch-picture-who = who presses
touch-picture-touching = touching: centre lines within { $limit }
touch-picture-main = main webbing
touch-picture-backup = backup
touch-picture-touches = touches { $length } of the main
touch-picture-tape = Tape { $number } true to scale, wrap left out: { $who }
touch-picture-strip = hangs in the strip, { $force }
touch-picture-anchor = the anchor holds { $force }
touch-picture-lines = lines pressed on each other, { $force }
touch-picture-lines-strip = pressed on the strip between, { $force }
touch-picture-all-along = ; the lines touch all along
touch-picture-whole = all along
touch-picture-less = { $limit }: less is touching
touch-picture-towards = { $far } towards { $end }
touch-picture-gap = Gap under the main beside tape { $number }, heights drawn { $times } times too large
touch-picture-gap-short = Lines touch at tape { $number }; heights × { $times }
touch-picture-longest = tape { $number }: { $value }
touch-picture-along-force = What the loops pull with at every tape
touch-picture-along-length = Contact length of the backup at every tape, both sides together
touch-picture-along-whole =
    { $count ->
        [one] ; one bay touches all along (block under the line)
       *[other] ; { $count } bays touch all along (blocks under the line)
    }
touch-picture-its-bays = its bays
touch-picture-at-tape = tape { $number }
touch-picture-in-bay = bay { $number }
