# What to change for a line to be as it is wished.

advise-kept = What is wished is kept as the line is planned{ $clearance ->
        [kept] ; so is what its clearance asks for
        [all-short] ; its clearance is not kept: see there
        [unknown] ; its clearance is not shown to be kept: ground is not known, or not all was compared
       *[none] {""}
    }.
advise-found = { $plans ->
    [one] One plan keeps
   *[other] { $plans } plans keep
} all that is wished, as solved{ $clearance ->
        [kept] ; { $plans ->
            [one] its clearance is kept as well
           *[other] the clearance of each is kept as well
        }
        [all-short] ; { $plans ->
            [one] its clearance is not kept: see there
           *[other] the clearance of none of them is kept: see there
        }
        [short] ; the clearance of some is not kept: see there
        [unknown] ; { $plans ->
            [one] its clearance is not shown to be kept: see there
           *[other] the clearance of some is not shown to be kept: see there
        }
       *[none] {""}
    }.
advise-not-found = No plan was found that keeps all that is wished. That is not to say that there is none.
advise-impossible = What is wished cannot be had within these limits: surfaces, exact solutions and a second search agree.
advise-nothing = Nothing is wished: add [[wishes]] or [clearance] to the scene, or --wish.
advise-not-held = Plan { $plan } keeps all wishes in { $kept } of { $draws } draws of what hands and inputs may be: too few to promise. Missed most: { $worst }, kept in { $alone }.
    .each = { $plan } ({ $kept }; missed most: { $worst }, kept in { $alone })
    .many = Plans keep all wishes in too few of { $draws } draws of what hands and inputs may be to promise them: { $each }.
advise-not-clear = The clearance of plan { $plan } is not kept{ $before ->
        [kept] , and that of the line as planned now is: the plan makes it worse
        [worse] , and it is worse than that of the line as planned now
       *[same] {""}
    }.
    .each = { $plan }
    .many = The clearance of plans { $each } is not kept{ $before ->
        [kept] , and that of the line as planned now is: these plans make it worse
        [worse] , and it is worse than that of the line as planned now
       *[same] {""}
    }.
advise-not-shown = The clearance of plan { $plan } is not shown to be kept: ground is not known below part of it, or not all was compared.
    .each = { $plan }
    .many = The clearance of plans { $each } is not shown to be kept: ground is not known below part of it, or not all was compared.
advise-unchecked = Plan { $plan } was not checked by the clearance.
    .each = { $plan }
    .many = Plans { $each } were not checked by the clearance.
advise-basis-solved = { $count } lines were solved exactly; every plan is one of them, with values that hands can set.
advise-basis-places = Wishes are looked at all along the part of the line where they count, down to { $near } from the anchors: with the walker standing every { $standing }, falling or hanging on the backup every { $falling }, and { $fine } times as finely beside the worst place. What is worse over less than that is missed. Distances that the scene requires are left to its clearance.
advise-basis-counted = Wishes for distances to the ground are counted outside the anchor zones ({ $zone } from A and from B). They say nothing of falls within no-fall zones: of those, only the clearance tells.
advise-basis-drawn = Draws, { $draws } a plan: inputs within their low and high, and where none is given pull within { $pull }, excess within { $excess }, leash within { $leash } of the plan; tapes as laid. Rock beside anchors is looked at as planned only.

## Wishes

advise-wish = what
advise-wished = Wished
advise-wish-at-least = { $figure }, at least { $end }
advise-wish-at-most = { $figure }, at most { $end }
advise-wish-between = { $figure }, { $range }
advise-wish-part = { $wish }, from { $start } to { $end }
advise-wish-zone = { $wish }, in zone { $zone }
advise-short = { $value } !
advise-now = now
advise-nearest = nearest

advise-foretold = about { $value }
advise-foretold-far = kept by far

advise-figure-excess-standing = excess, nobody on the line
advise-figure-excess-with-the-walker = excess with the walker
advise-figure-excess-in-a-leash-fall = excess at the bottom of a leash fall
advise-figure-loops-standing = loops, nobody on the line
advise-figure-loops-under-the-walker = loop under the walker
advise-figure-loops-with-the-walker = loops with the walker
advise-figure-loops-settled = loops, sliders settled
advise-figure-line-over-ground = main over the ground
advise-figure-loops-over-ground = loops over the ground
advise-figure-feet-over-ground-in-a-leash-fall = feet over the ground in a leash fall
advise-figure-feet-over-ground-if-the-main-goes = feet over the ground if the main goes
advise-figure-feet-over-ground-if-the-main-goes-ties-hold = feet over the ground if the main goes and ties hold
advise-figure-ring-if-the-main-goes = depth of the ring if the main goes
advise-figure-ring-if-the-main-goes-ties-hold = depth of the ring if the main goes and ties hold
advise-figure-clearance-elsewhere = left over what is asked of anything else that comes near, beside anchors over rock
advise-figure-force-in-a-leash-fall = force in a leash fall
advise-figure-backup-if-the-main-goes = tension in the backup if the main goes
advise-figure-tension-standing = standing tension
advise-figure-tension-with-the-walker = tension with the walker
advise-figure-sag-with-the-walker = sag with the walker
advise-figure-backup-length = length of the backup
advise-figure-tapes = tapes
advise-figure-taping-time = time for taping

## Levers

advise-set = To set
advise-lever = lever
advise-lever-pull = pull
advise-lever-excess = excess
advise-lever-bays = bays
advise-lever-leash = leash
advise-lever-raise-a = anchor A raised by
    .head = height of anchor A
advise-lever-raise-b = anchor B raised by
    .head = height of anchor B
advise-lever-aside = both anchors moved to the left by
    .head = both anchors to a side
advise-lever-ties = ties of main and backup
    .head = ties
advise-in-zone = { $lever }, zone { $zone }
advise-instead = instead of the scene's own
advise-as-now = as now

## One place

advise-mend = One change alone that would mend this: { $lever } { $value } instead of { $now } (solved here, in still air; for what else is short there, and elsewhere, look at the clearance of that plan before you take it).
advise-mend-at-rest = One change alone would mend it: { $lever } { $value }{ $begins ->
        [at-nothing] {""}
       *[elsewhere] {" "}instead of { $now }
    }; check the whole plan.
advise-mend-at-rest-none = { $tried ->
        [yes] No single change mends it: ask who planned the line.
       *[no] Ask who planned the line.
    }
advise-mend-none = No single change within its range mends this: { $levers } were tried one by one.

## Price

advise-price = What it costs
advise-cost = price
advise-price-tapes = tapes
advise-price-time = time for taping
advise-price-tape = tape with waste
advise-price-backup = backup to bring, unstretched
advise-price-pull = standing tension
advise-price-tension = main with the walker
advise-price-sag = sag under the walker
advise-price-reach = feet below the anchors if the main goes
advise-price-caught = backup then
advise-price-strain = share of its strength
advise-price-rub = most rub at one place, as first told
advise-price-kept = draws that keep all wishes
advise-price-checked = its clearance
advise-clearance-none = not checked
advise-clearance-kept = kept
advise-clearance-short = not kept: { $kinds }
advise-clearance-unknown = not shown to be kept
advise-clearance-not-asked = not asked for

advise-handed = a plan so far ({ $why }): { $sets }. Its clearance: { $clearance }. It was not tried in draws yet, and others follow.
advise-for = { $plan }: { $why }
advise-why-fewest-changes = the fewest levers, moved least
advise-why-with-a-reserve = with a reserve for what hands can hold
advise-why-fewest-tapes = the fewest tapes
advise-why-softest-pull = the softest pull
advise-why-least-drop-if-the-main-goes = the least drop if the main goes
advise-why-nearest = the nearest to what is wished

## About one plan

advise-about = Plan { $plan }
advise-why = { $figure }, { $before } now, becomes { $after }: { $parts }.
advise-why-jump = { $figure }, { $before } now, becomes { $after }, by { $levers } together.
advise-part = { $lever } { $by }
advise-loose = Not promised: { $figure }. It lies between { $range } as hands and inputs may be, and is as wished in { $kept } of { $draws } draws.
advise-still-short = Still short, and not mended by these wishes: { $kind }, { $why }, { $distance } at { $at } from A where { $needed } is asked for.
advise-still-in-rock = Still short, and not mended by these wishes: { $kind }, { $why }, { $near } at { $at } from A.
advise-no-fall = Nobody may fall into the leash at { $stretches } from A (if the ring stays between the tapes beside him): no wish for feet over the ground speaks of falls there.

## None found

advise-in-the-way = What stands in the way
advise-gives = { $figure }: if this alone gave { $by }, all others could be kept.
advise-gives-together = No one of these alone is in the way. On the nearest line they would have to give together: { $each }.
    .each = { $figure } by { $by }
advise-conflict = Not to be had together, as the surfaces say: { $figures }.
advise-more = { $lever } { $step } beyond your limit gives { $gain } of { $figure }.
advise-more-less = { $lever } { $step } beyond your limit takes { $gain } of { $figure }.
advise-more-nothing = A little more than your limits allow, each by itself, changes nothing of { $figure }: { $each }.
    .each = { $lever } { $step }

advise-adopt = To keep a plan as a variant of the scene
