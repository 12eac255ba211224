# Readings: what was measured on the line, and what it tells of the line as it was built.

readings = The line as built: figures with what the readings leave possible
readings-figure = figure
readings-shown-planned = planned
readings-shown-before = built to that plan
readings-shown-built = as built
readings-shown-after = left possible

readings-of-standing-a = main at A, nobody on it
readings-of-walker-drop = walker's feet below the chord
readings-of-tension-a = main at A with the walker
readings-of-least-excess = least excess with the walker
readings-of-deepest-loop = deepest loop with the walker, as taped
    .head = deepest loop, walker on it
readings-of-deepest-settled = deepest loop with the walker, settled
    .head = deepest loop, settled
readings-of-fall-foot = lowest foot in a leash fall, bound
readings-of-fall-force = force of the leash in that fall
readings-of-gone-rest = ring at rest if the main goes
readings-of-gone-floor = lowest foot if the main goes, bound
readings-of-gone-tension = backup tension if the main goes

readings-read = Readings beside what they should show
readings-which = reading
readings-read-shown-value = read
readings-read-shown-error = ±
readings-read-shown-planned = planned
readings-read-shown-built = as built
readings-read-shown-range = nine in ten between
readings-read-verdict = verdict
readings-read-taken = taken

readings-band = { $low } to { $high }
readings-fits = fits the model
readings-loose = kept in the fit, but outside nine in ten such readings: measure again if you can
readings-accepted = fits the model; within what the crew sheet accepts
readings-stop = fits the model; outside what the crew sheet accepts: stop and look
readings-again = measure again
readings-again-stop = measure again; outside what the crew sheet accepts: stop and look
readings-place = measure again: { $what }

readings-tension = main at { $end }, nobody on it
readings-tension-loaded = main at { $end }, { $mass } at { $at }
readings-sag = sag at { $at }, nobody on it
readings-sag-loaded = sag under { $mass } at { $at }
readings-loop = loop of bay { $number }
readings-loop-loaded = loop of bay { $number }, { $mass } at { $at }
readings-bay = length of bay { $number }
readings-bay-loaded = length of bay { $number }, { $mass } at { $at }
readings-tape = place of tape { $number }
readings-tape-loaded = place of tape { $number }, { $mass } at { $at }
readings-period-loaded = bounce of { $mass } at { $at }

readings-odd = { $what }: { $read } read, { $range } expected from all other readings ({ $by } { $more ->
        [yes] more
       *[no] less
    }). It was not used: measure it again.
readings-odd-hold = { $what }: { $read } read, { $by } { $more ->
        [yes] more
       *[no] less
    } than any hold allows, from none to full, with what all other readings tell ({ $range }). It was not used: measure it again.
readings-outside = { $what }: { $read } read, and the crew sheet accepts { $range }. Stop and look: that a line can be computed which shows this does not make it the planned one.
    .each = { $what } ({ $read }, accepted { $range })
    .many = Outside what the crew sheet accepts: { $each }. Stop and look: that a line can be computed which shows this does not make it the planned one.
readings-beyond = Outside the low and high of the plan, as built: { $inputs }. Either the plan's range is too narrow or a reading is wrong; bands of other commands keep to that range.
readings-input = { $key } { $built }, planned { $low } to { $high }
readings-odd-many = The readings do not fit this plan together: the line is not the one computed, or something that is no input here is wrong. Do not rely on the figures as built before you know which.
readings-apart = The main's slack length and its stiffness cannot be told apart by these readings (correlation { $correlation }): longer and stiffer looks the same. The figures above need only the two together.
readings-untold = The readings say next to nothing of { $inputs }: there the plan's own value stands.
readings-next = The one reading that would tell most: { $what }. Then { $figure } would be known to ±{ $then } instead of ±{ $now }.
readings-no-next = No single further reading that was tried here (meter, sag under one and under two, a loop of each zone) would tell much more.
readings-slides = Tapes slide: a loop may lie anywhere between as taped and settled, and its reading is taken for that much less sure.
readings-laid = Tapes are taken to sit where the plan lays them; every mark may be off by a centimetre at most (common practice, no source).
readings-basis = As built: tension or length, stiffness and excess of each zone together, as they fit plan and readings best. Left possible: 5 to 95 % of { $draws } draws of what the readings leave, none of it a guarantee. Readings are never changed; the plan stays beside them.
readings-lost = In { $lost } of { $draws } draws no equilibrium was found; they are left out.

## Picture

readings-question = Is it the line that was planned?
readings-picture-state = as built beside as planned
readings-picture-loops = Loop depth by bay: bars as built, dashes as planned, readings with their error
readings-picture-sag = as built { $built }, planned { $planned }
readings-picture-forces = Bars: what the readings leave possible; thin lines: lines built to the plan
readings-picture-caption = { $where }: solid as built, dashed as planned
readings-legend-built = as built
readings-legend-planned = as planned, line and loops
readings-legend-value = a figure as planned
readings-legend-read = a reading, with its error
readings-legend-again = a reading that does not fit: measure it again
readings-legend-stop = one the crew sheet does not accept: stop
