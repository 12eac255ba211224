# Motion in time.

motion-fall = Leash falls in time: what is expected, with its range
motion-fall-here = Leash fall in time at { $at } from A: what is expected, with its range
motion-gone = Loss of the main in time: what is expected, with its range
motion-bounce = Bouncing at { $at } from A, harder and harder

motion-gust = A gust from calm, in time

## Figures.  `.head` is for a narrow column.

motion-fall-leash-force = force of the leash on the ring
    .head = on the ring
motion-fall-leash-force-range = its range
    .head = range
motion-fall-foot-depth = lowest foot below the chord
    .head = foot below chord
motion-fall-foot-depth-high = lowest foot below the chord, at most
    .head = at most
motion-fall-main-a-range = largest tension of the main at A, its range
    .head = main at A
motion-fall-main-b-range = the same at B
    .head = main at B
motion-fall-backup-a-range = largest tension of the backup at A, its range
    .head = backup at A
motion-fall-backup-b-range = the same at B
    .head = backup at B
motion-fall-tapes-gone-high = tapes that go, at most
    .head = tapes go, at most
motion-fall-tight = bays whose loop snaps tight
    .head = loops snap tight
motion-fall-tight-force = largest tension in the backup then
    .head = in the backup then
motion-fall-thrown = bays whose loop is thrown above the main as the line springs back
    .head = loops thrown above the main
motion-fall-thrown-height = how far the highest of them comes above it
    .head = by up to
motion-fall-holds-from = strength of tapes at which none goes
    .head = no tape goes at
motion-fall-roof-force = force on the ring by the energy balance, a ring that stays
    .head = by energy balance, ring stays: on the ring
motion-fall-roof-foot-depth = lowest foot below the chord by the energy balance, a ring that stays
    .head = foot below chord
motion-gone-leash-force = force of the leash on the ring
    .head = on the ring
motion-gone-leash-force-range = its range
    .head = range
motion-gone-foot-depth = lowest foot below the chord
    .head = foot below chord
motion-gone-foot-depth-high = lowest foot below the chord, at most
    .head = at most
motion-gone-main-a-range = largest tension of the main at A, its range
    .head = main at A
motion-gone-main-b-range = the same at B
    .head = main at B
motion-gone-backup-a-range = largest tension of the backup at A, its range
    .head = backup at A
motion-gone-backup-b-range = the same at B
    .head = backup at B
motion-gone-tapes-gone-high = tapes that go, at most
    .head = tapes go, at most
motion-gone-tight = bays whose loop snaps tight
    .head = loops snap tight
motion-gone-tight-force = largest tension in the backup then
    .head = in the backup then
motion-gone-holds-from = strength of tapes at which none goes
    .head = no tape goes at
motion-gone-parts-at = where the main parts
    .head = parts
motion-gone-stops-from = strength of tapes from which a chain of them stops
    .head = chain of tapes stops from
motion-gone-reach-depth = lowest place of the main's free end, below the chord
    .head = free end below chord
motion-gone-ring-run = where the ring runs to in the first seconds, from A
    .head = ring runs, from A
motion-bounce-period = period of small bounces
    .head = period
motion-bounce-standing = tension of the main as he stands
    .head = standing
motion-bounce-largest = largest amplitude computed
    .head = amplitude up to
motion-bounce-largest-force = tension of the main at the largest amplitude
    .head = tension then
motion-bounce-largest-factor = that tension over that of standing
    .head = times standing
motion-bounce-tight-from = amplitude at which a loop first snaps tight (0: tight as he stands)
    .head = loops snap tight from (0: tight as he stands)
motion-bounce-leaves-from = amplitude at which the feet leave the line
    .head = feet leave from

motion-bounce-at = Bouncing at { $at } from A: the main at an anchor, by amplitude
motion-bounce-at-amplitude = amplitude: half of the way of his feet
    .head = amplitude
motion-bounce-at-factor = largest tension over that of standing
    .head = times standing
motion-bounce-at-most = largest tension of the main
    .head = most
motion-bounce-at-least = smallest tension of the main
    .head = least

motion-gust-speed = speed of the gust
    .head = speed
motion-gust-rise = time in which it comes
    .head = comes within
motion-gust-swing = largest swing of a loop
    .head = loops swing
motion-gust-swing-edge-on = the same where strips stand edge-on to the wind
    .head = edge-on
motion-gust-swing-broadside = the same where they stand broadside
    .head = broadside
motion-gust-above = largest height of a loop above the main
    .head = loop above the main
motion-gust-aside = farthest sideways travel of the main
    .head = main aside
motion-gust-tension = largest tension at an anchor
    .head = tension

motion-parts-a = at anchor A
motion-parts-b = at anchor B
motion-parts-beside-a = beside him, to A
motion-parts-beside-b = beside him, to B
motion-main = main
motion-backup = backup

## Notes

motion-overload = { $event ->
        [fall] In a leash fall
       *[gone] In the loss of the main
    } the { $line } may come to { $peak }, above its strength of { $strength }.
motion-near = { $event ->
        [fall] In a leash fall
       *[gone] In the loss of the main
    } the { $line } may come to { $peak }, near its strength of { $strength } less terminations.
motion-deeper = In falls at { $places } from A feet come up to { $by } lower in time than by the energy balance: there the ring runs, and no-fall zones take what is expected in time while it is in the bay where he fell; past a torn tape it is over other ground.
motion-all-go = { $event ->
        [fall] In a leash fall
       *[gone] In the loss of the main
    } all { $total } tapes go if each holds { $strength }.
motion-tight = { $event ->
        [fall] In a leash fall
       *[gone] In the loss of the main
    } { $count ->
        [one] one loop snaps
       *[other] up to { $count } loops snap
    } tight, with { $peak } in the backup.
motion-thrown = After a fall the line springs back and throws { $count ->
        [one] one loop
       *[other] up to { $count } loops
    } of { $total } above the main, by up to { $height }. What then lies on what is not computed: look along the line, and free any loop that lies over before anyone walks on.
motion-limit-trust = Not to be trusted for more than this: a peak force may be { $peaks } higher or lower; spikes shorter than { $spike } say nothing; which tape stops a chain of them is chance; later than { $late } after a break nothing is known. Left out: flutter and twist, line on line, knots of loops, a ring caught at a tape, anchors that give, a body that folds.
motion-limit-ground = Ground stops nothing in figures of motion in time, nor in bounds and no-fall zones. In films, in the picture of the first three seconds and on the page it stops lines and feet, without rebound.
motion-limit-failed = { $count ->
        [one] One run
       *[other] { $count } runs
    } did not keep { $count ->
        [one] its
       *[other] their
    } energy and { $count ->
        [one] is
       *[other] are
    } left out of the ranges.
motion-basis-ranges = The range covers webbing { $stiffness_factor_low } to { $stiffness_factor_high } times as stiff in motion as on its slow curve, drag coefficients of strips from { $air_low } to { $air_high }, tapes that hold { $tape_strength_low } to { $tape_strength_high } (a guess), leashes that take { $leash_modulus_low } to { $leash_modulus_high } to double their length, friction of the ring from { $ring_friction_low } to { $ring_friction_high }, and { $leaving_low } to { $leaving_high } over which he leaves the line. It is wider than that by { $chance } of a force and { $feet } of a depth: so much is chance where loops whip. In the first bays it is chance as well whether a ring comes to rest at a tape; depths of the same fall can then be up to { $courses } apart, and those at both ends of a level line differ.

## Picture: the first three seconds

motion-question = What happens in the first three seconds of a fall?
motion-picture-state = leash fall at { $at } from A, in time
motion-picture-range = { $ground ->
        [yes] range over all inputs, without ground
       *[no] range over all inputs, at the right edge
    }
motion-picture-stands = { $time }: he stands
motion-picture-tight = { $time }: the leash first comes tight
motion-picture-lowest = { $time }: feet are lowest
motion-picture-back = { $time }: highest after that
motion-picture-instant = leash { $force }, foot { $depth } below the chord

## Film

motion-film-leash-fall = Leash fall at { $at } from A, in time: one course, no permission to fall there
motion-film-main-gone = The main parts { $parts }, walker at { $at } from A, in time
motion-film-bounce = Bouncing at { $at } from A, harder and harder, in time
motion-film-gust = A gust from calm to { $speed } within { $rise }, walker at { $at } from A, in time
motion-film-note = One run, with the middle of all inputs; slowed where it snaps. { $ground ->
        [yes] Ground stops lines and feet, without rebound.
        [lines] Ground stops lines; his feet begin in it, and nothing stops them.
       *[no] No ground is given: nothing stops lines and feet.
    } Peaks may be { $peaks } off, and which tape goes is chance.
motion-film-note-gust = One run, with the middle of all inputs. { $ground ->
        [yes] Ground stops lines and feet, without rebound.
        [lines] Ground stops lines; his feet begin in it, and nothing stops them.
       *[no] No ground is given: nothing stops lines and feet.
    } A peak may be { $peaks } higher or lower; flutter and twist of the strips are left out.
motion-film-range-fall = Expected: leash { $leash }, main { $main }, backup { $backup }, feet { $feet } below the chord. Energy balance: leash { $most }, feet { $lowest }
motion-film-range-gone = Expected: leash { $leash }, main { $main }, backup { $backup }, feet { $feet } below the chord
motion-film-range-gust = Expected, edge-on to broadside: { $swing }
motion-film-over-chord = { $height } above it
motion-film-off = after { $time } his feet leave the line
motion-film-wind = wind now
motion-film-blows = wind
motion-film-swing = largest swing of a loop
motion-film-above = loop above the main, at most
motion-film-aside = main blown aside
motion-film-time = time
motion-film-at = after { $time }
motion-film-in-leash = in the leash
motion-film-in-main = main, at an anchor
motion-film-in-backup = backup, at an anchor
motion-film-gone = tapes gone
