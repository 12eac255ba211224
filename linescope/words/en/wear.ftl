# Rub: which face, which tape, from what.

wear = Rub in { $crossings } { $crossings ->
        [one] crossing
       *[other] crossings
    } and { $wind } of wind
wear-faces = Rub face by face
wear-places = Where it rubs most, to be inspected
wear-tapes = Tapes by work on their strip, the most worn first
wear-guesses = Effect of each guess on the worst place, one at a time
wear-question = Which face rubs where, from what, and which tapes wear most?

wear-face = Face
wear-face-main-top = main top
wear-face-main-underside = main underside
wear-face-backup-top = backup top
wear-face-backup-underside = backup underside
wear-at = From A
wear-tape = Tape
wear-family = Holds
wear-cause = Cause
wear-guess = Guess
wear-guess-ends = Low and high
wear-guess-each-tape = each tape its own
wear-holds-both = both lines
wear-holds-main = the main
wear-holds-backup = the backup

wear-cause-slide = slides in crossings
wear-cause-sway = loops swinging in wind
wear-cause-strain = strain cycles under the wrap
wear-cause-ring = leash ring
wear-cause-fall = ring in a fall
wear-cause-wrap = wrapped loop

wear-guess-hold = hold of the tapes
wear-guess-wind-speed = wind speed
wear-guess-turbulence = turbulence of the wind
wear-guess-play = angle the strip gives before the loop slips
wear-guess-pressing = pressing of a fixed wrap on its lines
wear-guess-step-load = how much a step loads and unloads
wear-guess-bounce-load = how much a bounce loads and unloads
wear-guess-ring-friction = friction of the ring that is dragged along
wear-guess-running-ring = friction of the ring as it runs in a fall
wear-guess-ring-mass = mass of the ring
wear-guess-fall-share = mean of the catch over its greatest force
wear-guess-fall-run = how far the ring runs in a fall

## Figures

wear-faces-crossing = worst, first crossing
wear-faces-peak = worst, all counted
wear-faces-low = low
wear-faces-high = high
wear-faces-total = work on the face
wear-places-peak = work per metre
wear-places-low = low
wear-places-high = high
wear-places-share = share of that cause
wear-tapes-work = work on the strip
wear-tapes-low = low
wear-tapes-high = high
wear-tapes-slip = slip, hold as given
wear-tapes-slip-high = slip at the most
wear-tapes-moved-one = moved after 1 crossing
    .head = moved after 1
wear-tapes-moved-five = moved after 5 crossings
    .head = after 5
wear-tapes-moved-all = moved after all crossings
    .head = after all
wear-guesses-low = worst place, low end
wear-guesses-high = worst place, high end

## Notes

wear-first = A first answer, with the hold as given alone: of { $crossings } crossings { $walked } { $walked ->
        [one] was
       *[other] were
    } walked; those left count as the last of these, which mostly rubs more than they do. That is no bound: a place may be told somewhat too high or too low. The full answer follows.
wear-ranks = Joules rank places on this rig. They say nothing about how long webbing lasts or what strength is left, and a joule on the loaded main does not harm like one on the slack backup.
wear-use = Counted: { $crossings } crossings there and back, { $wind } of wind, { $bounce } of bouncing, { $falls ->
        [0] no falls
        [one] one fall
       *[other] { $falls } falls
    }{ $wrapped ->
        [0] {""}
        [one] , one wrapped loop
       *[other] , { $wrapped } wrapped loops
    }.
wear-day-assumed = Assumed use, since the scene gives none: { $crossings } crossings there and back, { $wind } of wind, no bouncing, no falls.
wear-wind-assumed = The scene has no wind: { $speed } square to the line is assumed.
wear-rough =
    { $changed ->
        [unknown] Steps were not halved, so it is not known whether they were fine enough.
       *[other] Steps were not fine enough: halving them still changes work or peaks by up to { $changed }.
    }
wear-repeated = { $walked } crossings were walked; the others of { $crossings } are told from how the work of those fell. Counting each as the last one walked would say up to { $change } more.
wear-no-slip =
    { $low ->
        [yes] With the hold as given nothing slips in a crossing. It does at its low end.
       *[no] Nothing slips in a crossing, whatever the end of the hold.
    }
wear-tab =
    { $count ->
        [one] Tape { $tapes } slips
       *[other] Tapes { $tapes } slip
    } up to { $slip } in this use, more than the { $tab } of tab between the lines: a tucked tab is pulled out there and the tape unwinds (common practice). Use another style in these places.
wear-lines-pressed = In { $share } of the slide work the backup is so taut that it presses the lines together at the tapes; there it matters what lies between them.
wear-left-out = Worse and not computed: edges and lips, webbing locks (of the order of a thousand joules a metre on a few centimetres), grit, and wet webbing. Look at those first of all.
wear-ties = Ties hold both lines without a wrap whose pressing is known: nothing is booked on them.
wear-basis-faces = Where the loops hang, the strip carries them: half of the work goes to the strip, half to the outer face of the line that slides. Where they press on the main, what the tape puts between the lines decides.
wear-basis-history = Crossings are walked one after the other, each from where the tapes are, at most { $most }.
wear-basis-sway = Wind of { $speed } with a turbulence of { $turbulence } ({ $turbulence_low } to { $turbulence_high }); the strip gives { $play } either way ({ $play_low } to { $play_high }) before anything slips; all from memory. Same friction as in slides. Good to a factor of five.
wear-basis-strain = A fixed wrap presses its lines with { $pressing } ({ $low } to { $high }), a stride is { $stride }: from memory. Cycles that slip less than { $least } are counted, not turned into work.
wear-basis-ring = The ring weighs { $mass } ({ $low } to { $high }, from memory) and rubs with a friction of { $friction } evenly along the main's top.
wear-basis-fall = In { $count ->
        [one] the fall
       *[other] each fall
    } the ring runs { $run } under half of the greatest force (from memory).
wear-basis-wrapped = Wrapped loops grip the main like a belt, with their tension.
wear-basis-not-claimed = Not claimed: that a tight wrap does not press the lines together at all (its share is unknown), nor joules of fretting.

## Pictures

wear-title = { $places ->
        [0] Nothing rubs here that can be counted
       *[other] Along the line most rub is on the { $face }, { $tapes ->
            [one] at { $place }
           *[other] at { $tapes } tapes, { $place }
        }: { $cause }
    }
wear-under = { $name } · { $state } · bars: work of rub a metre, the longest { $most }
wear-key-touching = lines touch here
wear-picture-ring = And the leash ring, all along the main top: { $peak }, maybe { $band }.
wear-picture-place = { $rank }. { $face }, { $at }: { $peak }, maybe { $band }; { $cause }
wear-picture-state = { $crossings } crossings, { $wind } of wind{ $falls ->
        [0] {""}
        [one] , one fall
       *[other] , { $falls } falls
    }{ $assumed ->
        [yes] {" "}(assumed)
       *[no] {""}
    }
wear-picture-scale = longest bar: { $most }
wear-picture-style = { $name }: worst { $worst }
wear-picture-tapes = pale: where the tape was
wear-picture-none = no rub
wear-picture-up-to = up to { $most }
wear-picture-caption = Seen from the side, rub standing on the face it wears; worst: { $face }
wear-picture-share = { $cause }, { $share }
wear-picture-read = Read this with it
wear-picture-look = Where it rubs most
wear-picture-replace = Tapes, the most worn first
wear-picture-chalk = A test for a crew: chalk the main and the backup under three strips, walk five crossings, and look which face is wiped.
wear-place-first =
    First answer, most rub: { $face }, { $tapes ->
        [one] tape
       *[other] tapes
    } at { $place }, about { $peak } ({ $cause })
wear-place =
    Most rub: { $face }, { $tapes ->
        [one] tape
       *[other] tapes
    } at { $place }, { $peak } ({ $cause })
