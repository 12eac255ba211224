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

tension-basis-range = Range: nine in ten of many draws of all uncertain inputs together, tapes staying where the plan lays them. It is how readings scatter if the inputs are as stated, not a guarantee: one in ten lies outside. One far outside means that the line is not the one computed: stop.
tension-effects = The range at A with the walker comes from { $inputs }.
tension-effect = { $input } ({ $share })
tension-no-range = No input that affects the tension has a low and a high in the scene, so no range can be given.
tension-lost = In { $lost } of { $draws } draws no equilibrium was found; the range leaves them out.
tension-basis-where = Read the meter in the main itself, between anchor and webbing; behind a pulley it shows another force. New webbing relaxes: read again before anyone walks (common practice, no source).

## Picture

tension-picture-state = as taped, main tension at the anchors
tension-picture-reading = { $end } { $force }
tension-picture-reading-range = { $end } { $force }  ({ $range })
tension-legend-a = reading to expect at A, with its range
tension-legend-b = the same at B
tension-legend-main = main webbing
tension-picture-sag = { $depth } below the chord

## Crew picture: meter and stop rules

tension-stop-title = Empty, the meter reads { $a } at A and { $b } at B; outside the range, stop
tension-stop-under = { $name } · read in the main itself, between anchor and webbing. Below each figure its range, no guarantee. Write down what you read.
tension-stop-value-a = at A
tension-stop-read-a = read
tension-stop-value-b = at B
tension-stop-read-b = read
tension-stop-wind = Gusts
tension-stop-people = { $first ->
        [ours] Nobody out above { $own }, the gusts of this plan, or a lower local limit.
       *[usual] Nobody out above the local limit.
    }
tension-stop-usual = Usual limits, from memory: { $speed }.
tension-stop-ours = Our limit:
tension-stop-level = { $speed } across: loops can rise level: free them
tension-stop-gust = { $gust }: gusts in this plan{ $wraps ->
        [yes] ; loops can wrap
       *[no] {""}
    }
tension-stop-look = Look at, beside the no-fall zones
tension-stop-zone = { $at }: no falls there
tension-stop-mend = { $place }. { $mend }
tension-stop-besides = { $onto } can be reached at { $more ->
        [one] one more place
       *[other] { $more } more places
    }: see the first picture
tension-stop-tight = { $count ->
        [one] Bay { $bays }: tight
       *[other] Bays { $bays }: tight
    } with nobody on the line
tension-stop-wrap = { $every ->
        [yes] All bays, after wind: loops can wrap
       *[no] { $count ->
            [one] Bay { $bays }, after wind: its loop can wrap
           *[other] Bays { $bays }, after wind: loops can wrap
        }
    }
tension-stop-ties = { $count ->
        [one] Tie { $ties }: holds both lines
       *[other] Ties { $ties }: hold both lines
    }
tension-stop-joint = { $at }: joint, and its tape
tension-stop-anchors = A and B: the main's lock, the backup's own lock, padding, edge under both lines
