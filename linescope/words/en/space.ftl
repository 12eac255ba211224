# The rig in space: states, layers, places and the curve, for what is turned by hand.

space-footer = linescope { $version }. Computed from the inputs of the scene; a plan, not a permission.

## States

space-tab-empty = Empty
space-tab-walker = Walker
space-tab-settled = Settled
space-tab-crossing = Crossing
space-tab-fall = Leash fall
space-tab-gone = Main gone
space-tab-gust = Gust
space-figure-main = main { $force }
space-figure-loops = loops { $depth }
space-figure-slipped = slid { $most }
space-figure-fall = { $depth } lower, film at { $at }
space-figure-gone = { $depth } below A–B
space-figure-swing = loops { $swing }
space-title-empty = As taped, nobody on it, still air
space-title-walker = As taped, with a walker, still air
space-title-settled = Settled: sliders without friction
space-title-fall = Film: fall at { $at } from A, where the scene puts the walker
space-title-gone = Film: main gone with the walker at { $at } from A, where the scene puts him
space-title-gust = A gust of { $gust } from calm
space-sub-walker = falls are bounds, without damping
space-sub-bound = Lowest points are bounds without damping
space-sub-course = One course with the middle of all inputs, not the bound; peaks may be { $peaks } off, which tape goes is chance, flutter and line on line are left out
space-sub-crossing = One crossing there and back, middle friction, at { $pace } (assumed)
space-bound-fall = as low as energy lets the feet come (≤)
space-bound-gone = as low as energy lets the feet come if the main goes (≤)
space-gone-lowest = lowest by energy (≤)

## The sentence over a state

space-left-unknown = What a fall leaves to the ground is not known here
space-left-unknown-here = A fall at { $at }: no ground is known below
space-left-into = A fall at { $at } goes { $left } into the ground
space-left-within = A fall at { $at } leaves { $left }, less than the survey may be wrong by
space-left-near-here = A fall at { $at } leaves { $left }; { $needed } is needed
space-left-here = A fall at { $at } leaves { $left }
space-left-dragged = It drags the main onto the ground, as falls from { $stretches } do
space-empty-reached = With nobody on it { $what } reaches the ground at { $place }
space-empty-near = With nobody on it { $what } is { $left } from the ground at { $place }; { $needed } is needed
space-empty-kept = With nobody on it { $left } is left at least, { $what } at { $place }
space-rest-reached = { $what } reaches the ground at { $place } without any fall
space-rest-near = { $what } is { $left } from the ground at { $place } without any fall; { $needed } is needed
space-rest-kept = Without any fall { $left } is left at least, { $what } at { $place }
space-gone-into = If the main goes with the walker at { $at }, feet can come { $left } into the ground at { $place }
space-gone-left = If the main goes with the walker at { $at }, { $left } is left below the lowest feet, at { $place }
space-crossing-slipped = After one crossing backup has slid through tapes by up to { $most }; friction took { $total }
space-gust-swing = A gust of { $speed } swings loops by up to { $swing }
space-gust-above = A gust of { $speed } swings loops by up to { $swing }, up to { $above } above the main
space-film-feet = Feet come to the ground at { $time }
space-film-backup = The backup comes to the ground at { $time }
space-film-main = The main comes to the ground at { $time }
space-trace-force = Force over time

## Layers

space-layer-left = Left to the ground
space-layer-tension = Tension
space-layer-depth = Loop depth
space-layer-touch = Touch
space-layer-rub = Rub
space-left-title = How near what moves comes to the ground
space-left-reached = reached
space-left-near = nearer than asked
space-left-kept = more is left
space-tension-title = Tension of each line, bay by bay
space-depth-title = Depth of each loop below its chord
space-touch-title = Where the lines lie on each other as taped
space-touch-title-walker = Where the lines lie on each other as taped, walker at { $place }
space-touch-none = not touching
space-touch-strip = the loop hangs in the strip
space-touch-lines = the lines are pressed together
space-touch-over = a loop may lie over the main
space-touch-stretch = { $what }: { $length } in contact; { $carried } hangs in the strip, { $pressed } presses the lines
space-rub-title = Work of rub on each face of both lines, worst of each stretch
space-rub-use = { $given ->
        [no] over an assumed day:
       *[yes] over
    } { $crossings } { $crossings ->
        [one] crossing
       *[other] crossings
    } there and back, { $wind } of wind{ $falls ->
        [0] {""}
        [one] , one fall
       *[other] , { $falls } falls
    }{ $more ->
        [no] {""}
       *[yes] {" and more"}
    }
space-rub-place =
    { $face }, { $tapes ->
        [one] tape
       *[other] tapes
    } at { $place }: { $peak }, most from { $cause }

## Places and stretches

space-worst-head = { $place }: { $what }
space-worst-reached = At { $at } { $what } comes { $left } into the ground, where { $needed } is needed: { $cause }{ $walker ->
        [nobody] {""}
       *[somebody] , walker at { $place }
    }
space-worst-near = At { $at } { $left } is left to { $what }, where { $needed } is needed: { $cause }{ $walker ->
        [nobody] {""}
       *[somebody] , walker at { $place }
    }
space-worst-kept = At { $at } { $left } is left to { $what }; { $needed } is needed: { $cause }{ $walker ->
        [nobody] {""}
       *[somebody] , walker at { $place }
    }
space-worst-mend = { $text }. { $mend }
space-gap-left = { $left } left
space-gap-into = { $left } into the ground
space-zone-reached = { $stretch }: a fall reaches the ground
space-zone-near = { $stretch }: a fall comes nearer than asked for
space-zone-unknown = { $stretch }: not known
space-zone-short-reached = no fall { $stretch }
space-zone-short-near = nearer than asked { $stretch }
space-zone-short-unknown = not known { $stretch }
space-run = { $stretch }: if the ring runs, feet come too near after falls at { $falls }
space-ledge = ledge at { $place }
space-hole = { $stretch }: no ground is known below
space-tape = Tape { $number } at { $place } from A: { $style }, holds { $line }

## The curve, which is the slider

space-curve-title = Over the metres from A
space-curve-left = What a fall leaves to the ground
space-curve-left-other = Not of this state: what a fall would leave to the ground
space-curve-capped = { $title } (drawn up to { $most })
space-curve-feet = Lowest feet of a fall below the chord
space-curve-loops = Deepest loop
space-curve-sag = Feet below the chord
space-curve-height = Feet above the ground
space-curve-ground = ground
space-curve-asked = { $needed } is needed
