# The live page: the rig in words, what hands do on the line, and what stands beside the picture. What the picture itself
# shows is said by the topics' own messages.

## The rig in words

stage-rig-anchors = Anchor A is at { $a }, anchor B at { $b }.
stage-rig-main = The main is { $webbing }, pulled to { $tension } at anchor { $end } before anyone stands on it.
stage-rig-main-length = The main is { $webbing }, { $length } of it unstretched from anchor to anchor.
stage-rig-backup-excess = The backup is { $webbing }, with { $loops } excess in each bay.
stage-rig-backup-loop-length = The backup is { $webbing }, { $loops } of it in each bay.
stage-rig-backup-loop-depth = The backup is { $webbing }; its loops hang { $loops } deep.
stage-rig-backup-total-length = The backup is { $webbing }, { $loops } of it from anchor to anchor.
stage-rig-tapes-every = Tapes are { $style }, one every { $spacing }.
stage-rig-tapes-pattern = Tapes are { $style }, in bays of { $spacing }, again and again.
stage-rig-tapes-listed = Tapes are { $style }, at { $spacing } from A.
stage-rig-zone-every = In zone { $number }, up to { $to }, tapes are { $style }, one every { $spacing }.
stage-rig-zone-pattern = In zone { $number }, up to { $to }, tapes are { $style }, in bays of { $spacing }, again and again.
stage-rig-zone-listed = In zone { $number }, up to { $to }, tapes are { $style }, at { $spacing } from A.
stage-rig-last-every = In zone { $number }, up to B, tapes are { $style }, one every { $spacing }.
stage-rig-last-pattern = In zone { $number }, up to B, tapes are { $style }, in bays of { $spacing }, again and again.
stage-rig-last-listed = In zone { $number }, up to B, tapes are { $style }, at { $spacing } from A.
stage-rig-zone-excess = Its loops have { $excess } excess.
stage-rig-measured = All of this is measured on the { $state } main.
stage-rig-hold = A tape slips at a drag of { $drag }, with a friction of { $friction }.
stage-rig-walker = The walker weighs { $mass } with all gear, stands at { $at } and is tied in by a leash of { $leash }.
stage-rig-wind = The wind blows { $speed } from { $from }.
stage-rig-clearance = To be kept from the ground: { $line } by the line, { $loop } by loops, { $body } by people.

## Hands on the line

stage-measured = { $level } on the level, { $height } up or down

## Round the picture

stage-loading = The line is being computed …
stage-tools = Hands on the line
stage-undo = Undo
stage-redo = Redo
stage-measure = Measure
stage-cut = Cut ground
stage-variants = Two variants
stage-job = Under way
stage-card = What was picked

## Two variants

stage-compared = On the second line the walker is { $up ->
        [more] { $height } higher
        [less] { $height } lower
       *[same] as high
    }, the main pulls { $more ->
        [more] { $force } more
        [less] { $force } less
       *[same] as much
    }, and loops hang { $deep ->
        [more] { $depth } deeper
        [less] { $depth } less deep
       *[same] as deep
    }
stage-higher = { $height } { $up ->
        [more] higher
       *[less] lower
    }
stage-head = sag { $sag }, loops to { $depth }, tapes { $tapes }
stage-curve = How much higher he stands on the { $name } line

## What the script says

stage-say-lost = The connection to linescope is gone. Start it again and open the new address.
stage-say-not-right = Not right: { $why } The picture is of the last good state.
stage-say-no-picture = No picture yet: { $why }
stage-say-nothing = This scene cannot be computed yet
stage-say-changed = The file was changed on disk while you edit.
stage-say-take-disk = Take the file from disk (undo brings yours back)
stage-say-old = from before the last change
stage-say-was-so = Before the last change: { $text }
stage-say-aged = Falls, distances and films are from before the last change.
stage-say-beginning = Falls and distances are not known yet.
stage-say-doing = Being worked out: { $what }, { $share } %.
stage-say-doing-first = Being worked out …
stage-say-asked = As asked
stage-say-take-back = Take back: { $what }
stage-say-bring-back = Bring back: { $what }
stage-say-job = Under way
stage-say-job-brief = Brief: { $what }
stage-say-job-film = Film: { $what }
stage-say-job-day = The day's rub: { $what }
stage-say-job-in-time = Motion in time: { $what }
stage-say-job-advice = What would put it right: { $what }
stage-say-stop = Stop the job
stage-say-film-fall = Film of the fall from where he stands now
stage-say-film-gone = Film of the main's loss where he stands now
stage-say-film-fall-listed = Film of the fall that this place is of
stage-say-film-gone-listed = Film of the main's loss that this place is of
stage-say-close = Close
stage-say-cut-across = Ground beyond the walker is cut away; once more cuts along the line
stage-say-cut-along = Ground before the line is cut away; once more ends that

## The rig

stage-say-not-saved = { $file }, not saved
stage-say-save = Save
stage-say-kept = Variant
stage-say-own = the file's own values
stage-say-edited = Variant being edited
stage-say-edit = Edit the { $name }
stage-say-every = Every value of the scene
stage-say-mark-measured = measured
stage-say-mark-guess = guessed
stage-say-mark-assumed = nobody said
stage-say-known-assumed = assumed
stage-say-known-guess = guess
stage-say-known-measured = measured
stage-say-known-sheet = data sheet
stage-say-what-if = tried
stage-say-unsaved = not saved
stage-say-not-given = not given
stage-say-slider = { $title }: { $field }, slider
stage-say-more = More about { $title }: { $field }
stage-say-allowed = Allowed: { $allowed }.
stage-say-give-by = Give it by
stage-say-give-by-of = { $title }: { $field }, give it by
stage-say-known-from = Known from
stage-say-known-from-of = { $title }: { $field }, known from
stage-say-not-said = not said
stage-say-low-end = Low
stage-say-high-end = High
stage-say-low-of = { $title }: { $field }, low
stage-say-high-of = { $title }: { $field }, high
stage-say-take-out = Take out { $field }
stage-say-not-in-scene = not in this scene
stage-say-put-in = Put in: { $title }
stage-say-take-out-section = Take out: { $title }

## Answers

stage-say-did = What the last change did
stage-say-was = was { $before }
stage-say-lines = Figures of the lines
stage-say-figures = As shown
stage-say-no-fall = Where may nobody fall into the leash?
stage-say-no-fall-none = Nowhere on this ground, within what was computed.
stage-say-no-fall-unknown = Not known yet, or not for this ground.
stage-say-worst-places = Which places are worst?
stage-say-right = What would put it right?
stage-say-right-first = Plans for all that is wished and asked of the clearance, each with its price and its own clearance. It takes half a minute, on long lines some minutes; the page goes on meanwhile.
stage-say-right-sought = Being sought. Plans appear here as they are found.
stage-say-right-ended = Not sought to the end: { $why }. What was found before stays.
stage-say-right-old = These plans are of the scene as it was before it was changed.
stage-say-plans = Plans
stage-say-plan = Plan { $plan }: { $what }
stage-say-plan-clearance = Its clearance: { $clearance }
stage-say-plan-price = What plan { $plan } costs
stage-say-plan-moved = Price: { $prices }.
stage-say-plan-moves = { $what } { $value } (now { $now })
stage-say-plan-what = What
stage-say-plan-of = Plan { $plan }
stage-say-plan-now = Now
stage-say-plan-about = Why, and what stays short
stage-say-adopt = Try plan { $plan } as a variant
stage-say-levers = Turn the levers yourself
stage-say-levers-first = Estimates, from surfaces through lines that were solved; none of these settings was solved itself. They say nothing of the clearance.
stage-say-levers-head-wish = What is wished
stage-say-levers-head-about = Estimate
stage-say-levers-head-missed = Missed by, as a rule
stage-say-levers-adopt = Solve these settings as a variant
stage-say-levers-now = As now
stage-say-in-the-way = What stands in the way
stage-say-worked-out = Being worked out …
stage-say-part-clearance = Distances to the ground
stage-say-part-catches = Falls and loss of the main
stage-say-part-rub = Rub
stage-say-part-excess = Excess and loop depth in four states
stage-say-part-wind = Wind
stage-say-part-readings = As built
stage-say-part-bands = Bands: 5, 50 and 95 % of the main figures
stage-no-bands = No input has a low and a high: nothing is drawn.
stage-say-part-in-time = Falls and loss of the main in time
stage-say-day = Work out the whole day
stage-say-day-first = A first answer, in few steps and with the hold as given: its low and its high are not in it.
stage-say-in-time = Work out motion in time
stage-say-in-time-first = What is expected, with its range, beside the energy balance: falls, loss of the main, bouncing, a gust. It takes its time.
stage-say-list-guess = Guessed by you: { $count }
stage-say-list-assumed = Assumed, nobody gave them: { $count }

## Two variants beside one another

stage-say-first = first
stage-say-second = second
stage-say-side-by-side = Side by side
stage-say-figure = Figure
stage-say-second-against = second against first
stage-say-leaving = Which of the two is to be gone on with?
stage-say-keep = Go on with the { $name }
stage-say-stay = Keep both

## One tape, loop or anchor

stage-say-its-figures = Its figures
stage-say-style = Style of its zone
stage-say-every-of = One every
stage-say-to-a = Towards A
stage-say-to-b = Towards B
stage-say-shallower = Shallower
stage-say-deeper = Deeper
stage-say-up = Up
stage-say-down = Down
stage-say-anchor = Anchor { $name }
stage-say-drag-tape = Drag its ring along the line, or press plus and minus. The tapes of its zone are listed from then on.
stage-say-drag-loop = Drag its ring up or down, or press plus and minus. The loops of its zone follow.
stage-say-drag-anchor = Drag its ring up or down, or press plus and minus.
stage-say-measure-how = Tap two points: on a line, or on the ground. Enter takes the place that is picked, or the walker.

## The scene and its file

stage-say-looked-at = What is looked at
stage-say-sliders = Sliders
stage-say-as-taped = as taped
stage-say-settled = settled
stage-say-air = Air
stage-say-still = still
stage-say-steady = steady wind
stage-say-gust = gust
stage-say-wind-side = Side of the wind
stage-say-as-given = as given
stage-say-other-side = the other side
stage-say-in-feet = Figures in feet
stage-say-in-metres = Figures in metres
stage-say-leave-here = Put the scene's walker where he stands now
stage-say-crossing = Crossing with friction
stage-say-hold = Hold
stage-say-hold-low = low
stage-say-hold-value = as given
stage-say-hold-high = high
stage-say-cross = Cross with friction
stage-say-files = Files
stage-say-in-folder = In { $folder }. Names without a folder are sought there. Nothing else is read or written.
stage-say-save-new = Save as a new scene
stage-say-save-as = Save as
stage-say-open-other = Open another scene
stage-say-open = Open
stage-say-mesh = Mesh as the ground
stage-say-use-mesh = Use mesh
stage-say-brief-into = Write the brief into the folder
stage-say-write-brief = Write the brief
stage-say-written = Files written: { $count }
