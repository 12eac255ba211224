# Leash falls.

falls = Leash fall at { $at } from A
falls-along = Leash falls along the line
falls-question = Where must nobody fall?

## Figures.  `.head` is for a narrow column.

falls-dip = ring below its place before the fall
    .head = ring dips
falls-dip-if-held = the same if the sliding tapes hold
    .head = ring dips, tapes hold
falls-foot-drop = lowest foot below where he stood
    .head = ring stays: foot below standing
falls-foot-depth = lowest foot below the chord
    .head = foot below chord
falls-foot-height = lowest foot above the ground
    .head = foot above ground
falls-gap = body to the ground, in any direction
    .head = body to ground, any way
falls-peak-force = largest force of the leash on the ring
    .head = on the ring
falls-peak-main-tension = largest tension in the main
    .head = in the main
falls-main-share = largest tension in the main over its { $known_main }
    .head = of its { $known_main }
falls-backup-carries = largest tension in the backup
    .head = in the backup
falls-backup-carries-share = largest tension in the backup over its { $known_backup }
    .head = of its { $known_backup }
falls-least-excess = least excess of the backup in any bay
    .head = least excess
falls-expected-force = force of the leash on the ring in time, expected
    .head = in time: on the ring
falls-expected-foot-depth = lowest foot below the chord in time, expected
    .head = in time: foot below chord
falls-expected-backup = tension of the backup at an anchor in time, expected
    .head = in time: in the backup

## Notes

falls-overload = The { $line } is loaded beyond its { $known } in a leash fall at { $at } from A: { $peak } against { $strength }.
falls-beyond-curve = In a leash fall the { $line } is loaded beyond the last point of its stretch curve; the curve is extended as a straight line (assumed).
falls-backup-tight = The backup is tight at the lowest point of a leash fall at { $at } from A (least excess { $excess }): it takes part of the catch.
falls-ground = In leash falls { $every ->
        [yes] everywhere
       *[no] at { $places } from A
    } feet can come to the ground (≤, or in time), within the survey error.
falls-limit-ground = In leash falls { $every ->
        [yes] from all these places
       *[no] at { $places } from A
    } feet are in the ground before the fall is over. Ground stops nothing in these figures, which say what would be reached: forces, dips and times there are those of a fall that goes on, not of one that ends on the ground.
falls-limit-loops = What loops do as they snap tight is not in these figures: in time they can load the backup far more than it carries here, and tapes can go (`linescope motion`).
falls-basis-static = Energy balance without damping and without the inertia of the lines, for the static stretch curves given: the lowest feet are bounds (≤) for a ring that stays where it is. In the first bays from an anchor it runs down the line, and feet come decimetres lower, past a torn tape metres (`linescope motion`); clearances and no-fall zones count the first. Forces, and the ring's depth, are estimates. Webbing pulled fast is stiffer (1.2 to 2 times, from memory), which makes falls shallower and harder.
falls-basis-start = He falls { $height } (tie-in height plus leash) from standing at rest; then leash (modulus { $leash }) and body ({ $body }) stretch along with the line. The energy that the line has stored under him is counted; if the line has sprung up before the leash is tight, the fall is shallower and softer. The ring stays where it is on the main.
falls-basis-sliders = Falls are computed with sliding tapes that hold and with sliding tapes without friction; each figure is the worse of both. { $deeper ->
        [yes] Without friction the ring dips up to { $by } more.
       *[no] Here the ring dips no more without friction.
    }

## Picture: where nobody must fall

falls-picture-state = leash fall at every place, as taped
falls-picture-stays = the ring stays in its bay
falls-picture-runs = the ring runs along the main: where feet get
falls-picture-lowest = lowest foot ≤ { $depth } below the chord, falling at { $at } from A
falls-picture-runs-lowest = feet if the ring runs (≤)
falls-picture-caption = True to scale. { $bodies ->
        [here] Bodies hang where a fall from there ends: the upper at rest, the lower at its lowest.
       *[below] Bodies: see below.
    } Falling at { $at } from A, the leash pulls the ring with { $force }; in the main { $main }, { $share } of its { $known_main }.
falls-picture-near = fall { $letter }
falls-picture-near-down = foot ≤ { $down } lower
falls-picture-near-caption = Fall { $letter }, { $at } from A, true to scale
falls-picture-strip = Where a fall reaches the ground (≤). { $system ->
        [metric] Metres
       *[feet] Feet
    } from A above each strip, from B below it
falls-legend-standing = main under the walker, wherever he is
falls-legend-hang = lowest foot, hanging at rest
falls-legend-lowest = lowest foot in a leash fall (≤; or in time)
falls-legend-runs = the same if the ring runs (≤)
falls-legend-hit = a fall reaches the ground
falls-legend-near = nearer than asked for (hatched)
falls-legend-kept = no nearer than asked for, in this model
falls-zone-both = { $from_a } from A ({ $from_b } from B)
falls-zone-hit = A fall reaches the ground, within the survey error (≤): { $stretches }.
falls-zone-near = No-fall zone, the body comes nearer than the { $needed } needed (survey error and margin included): { $stretches }.
falls-zone-unknown = Unknown, since no ground is given there: { $stretches }.
falls-zone-not-asked = No distance is asked for in the scene, so nothing is marked as too near.
falls-zone-basis = Distances are taken { $how ->
        [space] in space
       *[below] straight down under the line only
    }. He falls { $height } before the leash is tight. No damping, no swing: a swing towards a wall beside the line is not counted. Of the energy balance (≤) and motion in time, in which the ring runs to the next tape, the lower counts. Past a torn tape it runs on: the strip of a ring that runs along holds that too.
falls-runs-clear = If the ring runs along the main (≤, no friction), feet come too near nowhere.
falls-runs-near = If the ring runs along the main (≤, no friction), feet can come too near over { $stretches }.
falls-runs-stretch = { $over } from A (in falls from { $falls })
falls-runs-stretch-hit = { $over } from A (in falls from { $falls }, to the ground from { $strikes })
falls-runs-unknown = If the ring runs along the main (≤, no friction), feet get down to the dashed line wherever he fell.
falls-runs-everywhere = If the ring runs along the main (≤, no friction), feet get down to the dashed line wherever he fell, and reach the ground everywhere.
falls-runs-only = If the ring runs along the main (≤, no friction), feet get down to the dashed line wherever he fell; straight down they stay above the ground only over { $stretches } from A.

## Page

falls-page = Lowest point of a leash fall at { $at } from A (no damping)
falls-page-foot = lowest foot ≤ { $depth } below the chord
falls-short = Leash fall

## Crew picture: nobody falls here

falls-here-hit = { $how ->
        [all] Nobody may fall anywhere on this line
        [many] Nobody may fall in the cross-hatched stretches
       *[some] Nobody may fall at { $stretches } from A
    }: { $by ->
        [main] feet or the main can reach { $onto }
       *[feet] a leash fall can reach { $onto }
    }{ $also ->
        [all] . If the main goes, feet can reach { $lost } everywhere
        [part] . If the main goes, feet can reach { $lost } on more of the line
        [within] . If the main goes, feet can reach { $lost } in parts of these stretches
       *[none] {""}
    }
falls-here-it = it
falls-here-lost = Leash falls stay above the ground; if the main goes, feet can reach { $onto } { $how ->
        [all] everywhere
       *[part] at { $stretches } from A
    }
falls-here-near = { $how ->
        [all] Leash falls come nearer to the ground than asked for everywhere
        [many] Leash falls come nearer to the ground than asked for in the hatched stretches
       *[some] Leash falls come nearer to the ground than asked for at { $stretches } from A
    }
falls-here-part = Unknown where nobody must fall: no ground is given at { $stretches } from A
falls-here-unknown = No ground is given: nobody knows from here where a fall would end
falls-here-none = Nobody is on the line in this scene: no falls were computed
falls-here-kept = Leash falls leave at least { $left } to the ground where computed{ $asked ->
        [yes] {""}
       *[no] ; no distance was asked for
    }
falls-here-under = { $name } · lowest feet of { $mass } after { $height } of free fall, true to scale; ≤: at most, in this model{ $ways ->
        [both] {""}
       *[one] ; near an anchor they can come lower
    }{ $asked ->
        [yes] ; { $needed } asked for to the ground
       *[no] {""}
    }
falls-here-lowest = deepest fall if the ring stays, at { $place }{ $zoned ->
        [yes] {" "}(no falls there)
       *[no] {""}
    }: feet ≤ { $depth } below straight A–B
falls-here-hang = feet, hanging at rest
falls-here-runs = deepest fall if the ring runs (≤)
falls-here-gone = main gone: lowest feet (≤)
falls-here-strip-worst = leash fall from
falls-here-strip-runs = ring runs: feet
falls-here-strip-gone = main gone: feet
falls-here-axis = from A [{ $unit }]
falls-here-list-hit = No falls: { $by ->
        [main] feet or main
       *[feet] feet
    } can reach { $onto }
falls-here-list-near = Falls only if the crew agrees: they end nearer than asked for
falls-here-list-near-hatched = Only if agreed: { $stretches } (amber).
# Common practice, no source.
falls-here-list-pass = Pass there sitting or held, or not at all.
falls-here-list-part = Unknown: no ground given
falls-here-list-from-a = from A [{ $unit }]
falls-here-list-from-b = from B [{ $unit }]
falls-here-list-more = and { $count } more
falls-here-list-runs-some = If the ring runs, feet can come down on the ground at { $stretches }, also from falls elsewhere.
falls-here-list-runs-many = If the ring runs: where its strip is cross-hatched, from elsewhere too.
falls-here-list-dragged-some = Falls from { $stretches }: the main comes down at { $meets }.
falls-here-list-dragged-many = In falls from parts of them not feet but the main comes down, at { $meets }.
falls-here-main = main, with the walker there
falls-here-meets = here the main can come down
falls-here-list-gone-all = Main gone: feet can reach { $onto } everywhere.
falls-here-list-gone-some = Main gone: feet can reach { $onto } at { $stretches }.
falls-here-list-gone-many = Main gone: where its strip is cross-hatched.
falls-here-list-gone-none = Main gone: feet stay above the ground straight below the line, in this model.
falls-here-key-hit = can be reached (top strip: no falls)
falls-here-key-near = nearer than asked (top strip: only if the crew agrees)
falls-here-key-kept = no nearer, in this model
falls-here-key-expected = feet expected in time, with their range (no bound; which tape tears is chance)
