# Distances to the ground.

clearance = Distances to the ground: { $source }
clearance-question = Where does it come too near to the ground?
clearance-where = from A

## What comes near, and why

clearance-kind-line = line
clearance-kind-loop = loop
clearance-kind-leash = leash
clearance-kind-body = body

clearance-who-walker = walker on the line
clearance-who-nobody = nobody on the line
clearance-air-still = still air
clearance-air-steady-left = steady wind from the left
clearance-air-steady-right = steady wind from the right
clearance-air-gust-left = gust from the left
clearance-air-gust-right = gust from the right
clearance-air-sudden-left = sudden gust from the left (bound)
clearance-air-sudden-right = sudden gust from the right (bound)
clearance-slid-taped = as taped
clearance-slid-settled = sliders settled
clearance-slid-low-there = slid in a crossing, low hold, on the way to B
clearance-slid-low-back = slid in a crossing, low hold, on the way back to A
clearance-slid-high-there = slid in a crossing, high hold, on the way to B
clearance-slid-high-back = slid in a crossing, high hold, on the way back to A

clearance-cause-rig = { $who }, { $air }
clearance-cause-rig-slid = { $who }, { $air }, { $slid }
clearance-cause-standing = standing, { $air }
clearance-cause-standing-slid = standing, { $air }, { $slid }
clearance-cause-weather-slid = { $air }, { $slid }
clearance-cause-hanging = hanging on the leash
clearance-cause-fall = leash fall, at its lowest (bound)
clearance-cause-fall-in-time = leash fall in time, the ring runs in its bay: expected at its lowest
clearance-cause-fall-line = leash fall, the line at its lowest (bound)
clearance-cause-fall-line-slid = leash fall, sliders free: the line at its lowest (bound)
clearance-cause-runs = leash fall, the ring runs without friction: feet no lower than this (bound)
clearance-cause-gone-rest = main gone, { $side }: at rest
clearance-cause-gone-floor = main gone, { $side }: feet no lower than this (bound)
clearance-cause-gone-line = main gone, { $side }: the line that catches, at its lowest (bound)

## Verdict, at most one

clearance-short = What is asked for is not kept at { $places ->
        [one] one place
       *[other] { $places } places
    }; worst first.
clearance-kept = What is asked for is kept by these figures{ $beside ->
        [yes] , except from rock beside the anchors, which is listed apart
       *[no] {""}
    }, with the bounds and assumptions listed below.
clearance-not-shown = Where ground is known, what was measured keeps what is asked for; for the whole line it is not shown to be kept.
clearance-not-compared = Not compared with what is asked for: { $kinds }. Nothing is shown to be kept for it.
clearance-nothing-compared = Nothing was compared: it all lies within the anchor zones.
clearance-not-asked = No distance is asked for in this scene: only what touches the ground is told.
clearance-needed = Needed is what is asked for, plus { $error } survey error, plus { $margin } margin. Distances are bounds in space, from centre lines and feet: what is left at least.

## Figures.  `.head` is for a narrow column.

clearance-place = Worst places: one of the ground each, by harm to a person
clearance-place-rank = number
    .head = No.
clearance-place-kind = what
clearance-place-ground = comes near to
    .head = to
clearance-place-station = where, from A
    .head = from A
clearance-place-walker = walker at
clearance-place-distance = distance in space
    .head = distance
clearance-place-vertical = straight down
clearance-place-needed = needed, with survey error and margin
    .head = needed
clearance-place-left = left over
    .head = left
clearance-place-cause = why
clearance-place-others = what else is short there
    .head = short there too
clearance-short-by = short by { $depth }
clearance-unknown-below = ground not known below
clearance-in-rock = { $inside } in rock, { $depth } deep
clearance-too-deep = { $depth } into the ground
clearance-at = { $depth } below it
clearance-nobody = nobody
clearance-nothing = –
clearance-other = { $kind }, { $cause }: { $near }
clearance-others = { $list }; and { $more ->
        [one] one more cause
       *[other] { $more } more causes
    }
clearance-more = { $count ->
        [one] One place more
       *[other] { $count } places more
    }, { $short ->
        [0] none of them short
       *[other] { $short } of them short
    }; all are in the figures for programs.

clearance-zone = Beside the anchors: measured within, compared at the border
clearance-zone-anchor = anchor
clearance-zone-length = within
clearance-zone-within-least = nearest within, not compared
clearance-zone-border-least = nearest right outside, compared
clearance-zone-beside-least = nearer than needed to rock beside it, not compared

clearance-no-fall = Where nobody may fall into the leash (if the ring stays between the tapes beside him)
clearance-no-fall-from-a-told = from A
clearance-no-fall-from-b-told = from B
clearance-no-fall-short = short by up to
clearance-no-fall-worst-told = worst at, from A
    .head = worst at
clearance-no-fall-struck = the body, or the way it falls, touches the ground (survey error included) in falls from
    .head = he touches it from
clearance-no-fall-dragged = the main is dragged onto the ground (survey error included) in falls from
    .head = main on it from
clearance-no-fall-in-time-told = motion in time decides in falls from
    .head = in time from
clearance-no-fall-none = From no place tried does a leash fall come nearer to the ground than needed, if the ring stays between the tapes beside him.
clearance-no-fall-not-looked = No falls were looked at.
clearance-no-fall-unknown = Ground is not known below { $stretches } from A: nobody may count on a clear fall there.

clearance-drawn = What is needed, in draws of all uncertain inputs together
clearance-drawn-figure = what
clearance-drawn-needed-told = needed
clearance-drawn-value-told = as planned
clearance-drawn-low-told = one in twenty nearer than
clearance-drawn-high-told = one in twenty further than
clearance-drawn-kept-of = kept in
clearance-drawn-few = { $figure }: kept as planned, and in no more than { $kept } of { $draws } draws of all uncertain inputs. Measure what is uncertain, or plan with more to spare.
clearance-drawn-left-out = { $figure }: not told in draws. The clearance finds { $found } as planned, with sliders as a crossing leaves them, which draws do not look at.
clearance-drawn-feet = feet over ground in a leash fall, where falling is not ruled out
clearance-drawn-basis = Draws: { $draws }, as many as are worth their time on a line like this; { $kept } of them keep everything in that table{ $lost ->
        [0] {""}
       *[other] , in { $lost } no state was found, which counts as not kept
    }. All inputs with a low and a high are drawn together, the tapes stay where the plan lays them. Looked at where the sweep found the nearest places and as it measures there, falls outside the no-fall zones and as much lower in time as on the line as planned: places that come nearest in some draw only are not among them. It is how distances scatter if the inputs are as stated, no chance and no promise.
clearance-drawn-none = In how many draws distances are kept was not computed: nothing is required, or no input has a low and a high.

clearance-runs = If the ring runs along the main after a fall (bound, no friction), feet get too near
clearance-runs-from-a-told = over, from A
clearance-runs-short = short by up to
clearance-runs-falls-told = in falls from
clearance-runs-strikes-told = reaching the ground in falls from
    .head = to the ground from
clearance-runs-none = If the ring runs along the main, feet get nowhere nearer than needed outside the anchor zones{ $known ->
        [all] {""}
       *[part] , where ground is known
    } (bound, no friction).

## Notes

clearance-in-rock-at-anchor = Beside anchor { $anchor } the { $kind } lies in rock: { $inside } of it, up to { $depth } deep ({ $cause }).
clearance-zone-cut = The anchor zones are { $length } long, an eighth of the span, instead of the { $asked } asked for: the rest is compared.
clearance-zone-basis = Within { $length } of the anchors nothing is compared, for lines come down to the rock there; but no line at rest may lie in it. Farther out, rock of those stretches that lies beside rather than below (the cliff an anchor stands on) is compared with survey error and margin alone and listed apart.
clearance-unknown = Nothing is known of the ground below the line at { $stretches } from A: { $asked ->
        [yes] no distance asked for is shown to be kept there
       *[no] nothing is bridged
    }.
clearance-holes = No ground is known in plan at { $stretches } from A; nothing is bridged. Holes narrower than { $narrowest } and those within the anchor zones do not count against what is asked for.
clearance-dragged = Leash falls drag the main onto the ground (survey error included) in falls from { $stretches } from A, though the body may clear it. The catch is computed without the ground.
clearance-one-sheet = The mesh shows no overhang: whatever is below it counts as inside the ground (assumed).
clearance-turned = { $count ->
        [one] One triangle of the mesh faces
       *[other] { $count } triangles of the mesh face
    } the other way than the rest of its piece and { $count ->
        [one] was
       *[other] were
    } turned over.
clearance-roofs = { $count ->
        [one] One sheet of the mesh hangs
       *[other] { $count } sheets of the mesh hang
    } over other ground, as an overhang does: only { $count ->
        [one] its surface counts
       *[other] their surfaces count
    }, not what lies below.
clearance-unsigned = What lies inside rock is not told apart in this mesh, only what touches it: it is neither closed nor does it face up.
clearance-overhead = Rock hangs over the line at { $stretches } from A; nearest { $distance }.
clearance-lost = No ground is known straight below: { $list }.
clearance-no-walker = Nobody is on the line: no walker, no falls.
clearance-tried = { $count } walker positions were tried, around the worst places at most { $finest } apart. Falls and loss of the main start as taped in still air and are bounds: no damping, no line inertia; where tapes slide, the lower one of falls with tapes that hold and with free ones (no friction), and of a loss of the main the lowest with all that the lost main has stored going into the catch and its weight hanging on the backup.
clearance-in-time = Of each fall the lower counts: the energy balance of a ring that stays (a bound), or what motion in time is expected to come to at most while the ring runs in the bay where he fell, with tapes that hold and with tapes that go at the weak end of their range, and webbing, leash and body at the soft ends of theirs. Near an anchor the second is the lower one; it was run at { $count ->
        [one] one place
       *[other] { $count } places
    }, from both anchors on as far as it comes lower, and is taken in straight pieces between them. Past a torn tape the ring runs on over other ground and feet can come metres lower: that is within the bound of a ring that runs, a cause of its own.{ $failed ->
        [0] {""}
        [one] { " " }One more did not keep its energy and is left out.
       *[other] { " " }{ $failed } more did not keep their energy and are left out.
    }
clearance-not-in-time = Falls are those of the energy balance alone, of a ring that stays: near an anchor, where it runs, feet come up to a metre lower.
clearance-ring = No-fall zones are for a ring that stays between the tapes beside him; torn tapes let it run. A ring that runs carries him along the line after the fall, over other ground: how low feet can get then is a cause of its own, and where they get too near is listed apart (bound, no friction: real rings stop sooner).
clearance-still-only = Still air only: no wind was looked at.
clearance-looked-at = Looked at: { $causes }.
clearance-settled = Settled sliders follow the walker without friction (where several settled states exist, one of them); after a crossing they stay where its nearest step left them. Both are bounds of what real tapes do; in wind, slides limited by friction lie between.

## Pictures, sheet and pages

clearance-picture-left = { $rank }  { $kind } at { $at } from A: { $left } left of { $needed } needed{ $named ->
        [yes] {" "}over { $ground }
       *[no] {""}
    } ({ $cause }{ $walker ->
        [nobody] {""}
       *[somebody] , walker at { $place }
    })
clearance-picture-near = { $rank }  { $kind } at { $at } from A: { $left } left of { $needed } needed{ $named ->
        [yes] {" "}over { $ground }
       *[no] {""}
    }, too near ({ $cause }{ $walker ->
        [nobody] {""}
       *[somebody] , walker at { $place }
    })
clearance-picture-reaches = { $rank }  { $kind } at { $at } from A: { $left } into { $named ->
        [yes] { $ground }
       *[no] the ground
    }, { $needed } needed ({ $cause }{ $walker ->
        [nobody] {""}
       *[somebody] , walker at { $place }
    })
clearance-picture-legend = worst places, 1 the worst{ $more ->
        [0] {""}
       *[other] {" "}({ $more } more are not shown)
    }

## A first answer

clearance-first = A first answer, coarse and on the careful side, with the walker at { $places } places, { $step } apart: everything outside the anchor zones stays at least so far from what is told here. What is not known yet may come nearer or touch; the whole answer follows.
clearance-first-nobody = A first answer, coarse and on the careful side, of the empty line: everything outside the anchor zones stays at least so far from what is told here. What is not known yet may come nearer or touch; the whole answer follows.
clearance-first-kind = what
clearance-first-role = from
clearance-first-least = at least
clearance-first-found = nearest so far
clearance-first-needed = needed
clearance-first-touches = touches
clearance-first-short = First answer, { $kind }: { $touches ->
    [yes] touches the { $role }
   *[no] { $found } or less from the { $role }
} at { $at } from A, { $needed } needed.
clearance-first-open = not known yet
clearance-first-ground = ground
clearance-first-vegetation = vegetation
clearance-first-water = water

## From straight above

clearance-above-under = From straight above · { $name } · { $span } · { $state }
clearance-above-n = N
clearance-above-stretch = { $stretches } from A
clearance-above-hit = falls reach the ground
clearance-above-near = falls come too near
clearance-above-kept = falls no nearer, in this model
clearance-above-degrees = { $latitude }° { $north ->
        [yes] N
       *[no] S
    }, { $longitude }° { $east ->
        [yes] E
       *[no] W
    }
clearance-above-plan = { $east } E, { $north } N
clearance-above-height = Height { $height }
clearance-above-bearing = A to B bears { $bearing } from true north
clearance-above-system = E and N: { $system }
clearance-above-datum = Latitude, longitude: WGS 84. Heights: { $told ->
        [yes] { $datum } by the ground's file, which the anchors' are taken for; compare with a map.
       *[no] in the datum of the anchors; compare with a map.
    }
clearance-above-unknown = North is not known
clearance-above-scene = { $anchor }: x { $x }, y { $y }, z { $z }
clearance-above-scene-basis = x, y and z are the scene's own: nothing in it says where on the Earth it lies, or how high above the sea.
clearance-above-worst = Worst places
