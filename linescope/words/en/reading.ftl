# What the meter should read: the picture.

reading-question = How tight is it, and what should the meter read?
reading-state = as taped, main tension at the anchors
reading-legend-main = main webbing
reading-legend-a = reading to expect at A, with its range
reading-legend-b = the same at B
reading-below = { $depth } below the chord
reading-value = { $end } { $force }
reading-value-range = { $end } { $force }  ({ $range })
reading-range = Range: every input with a low and a high is moved to its ends, one at a time, and the moves are added up: a working band, no certainty. A reading outside it means that the line is not the one computed: stop.
reading-effects = The range at A with the walker comes from: { $inputs }.
reading-effect = { $input } { $share }
reading-no-range = No input that acts on the tension has a low and a high in the scene, so no range can be given.
reading-failed = No state was found at the ends of: { $inputs }; the range leaves them out.
reading-meter = Read the meter in the main line itself, between anchor and webbing; behind a pulley it shows another force. Fresh webbing relaxes: read again before anyone walks (common practice, no source).
