# Tension: what a meter at the anchors should read, and how deep the walker stands.

tension = Expected meter readings, with a working range (not a guarantee)
tension-walked = Tension and height with the walker along the line, as taped, still air
tension-question = How tight is it, and what should the meter read?

tension-loading = Loading
tension-empty = nobody on the line
tension-walker = walker at { $at }
tension-value-a = at A
tension-range-a = range at A
tension-value-b = at B
tension-range-b = range at B

tension-walked-at = walker, from A
tension-walked-share = of the span
tension-walked-tension-a = main at A
tension-walked-tension-b = main at B
tension-walked-backup-most = largest tension in the backup
    .head = most in the backup
tension-walked-feet-depth = feet below the chord
tension-walked-feet-height = feet above the ground
tension-walked-loop = depth of the loop under him
    .head = loop under him
tension-walked-loop-excess = excess of the loop under him
    .head = its excess

tension-read = read

tension-basis-range = Range: each uncertain input is moved to its low and its high, one at a time, and the changes are added up. This is a working range, not a guarantee. A reading outside it means that the line is not the one computed: stop.
tension-effects = The range at A with the walker comes from { $inputs }.
tension-effect = { $input } ({ $share })
tension-no-range = No input that affects the tension has a low and a high in the scene, so no range can be given.
tension-failed = No equilibrium was found at the low or high of { $inputs }; the range leaves them out.
tension-basis-where = Read the meter in the main itself, between anchor and webbing; behind a pulley it shows another force. New webbing relaxes: read again before anyone walks (common practice, no source).

## Picture

tension-picture-state = as taped, main tension at the anchors
tension-picture-reading = { $end } { $force }
tension-picture-reading-range = { $end } { $force }  ({ $range })
tension-legend-a = reading to expect at A, with its range
tension-legend-b = the same at B
tension-legend-main = main webbing
tension-picture-sag = { $depth } below the chord
