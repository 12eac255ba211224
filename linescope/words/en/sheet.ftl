# The briefing sheet.  Forms and steps are common practice without a source unless they say otherwise.

sheet = { $name }: briefing sheet
sheet-plan = { $plan }. { $date }, linescope { $version }, made by { $author }
sheet-page = { $plan }. Page { $number } of { $total }
sheet-foot = linescope { $version }, { $date }. A model's result; measure on the real line. { $plan }.
sheet-practice = Common practice, no source; the crew's own rules win.
sheet-unknown-clearance = Distances to the ground were not computed for this sheet: clearance is unknown.

## Heads of the sixteen sections

sheet-head = { $number }  { $title }
sheet-head-1 = What this is
sheet-head-2 = People, words, rescue
sheet-head-3 = Site plan, hazards, escape
sheet-head-4 = Elevation
sheet-head-5 = Gear, ages, days in the sun
sheet-head-6 = Length and tension
sheet-head-7 = Loops and the marks of the backup
sheet-head-8 = Tapes
sheet-head-9 = Order of rigging, with hold points
sheet-head-10 = What you should see, and what to accept
sheet-head-11 = Falls and loss of the main
sheet-head-12 = Wind and weather: limits and stop rule
sheet-head-13 = What to look at, metre by metre
sheet-head-14 = Airspace notice and markers
sheet-head-15 = Assumptions, guesses, margins
sheet-head-16 = Before you use it; signatures; as built

## 1  What this is

sheet-summary = State shown: { $state }. { $summary }
sheet-no-description = No description was given.

## 2  People

sheet-role = Role
sheet-name = Name
sheet-phone = Phone or radio
sheet-role-lead = Lead
sheet-role-anchor-a = Anchor A, tension
sheet-role-anchor-b = Anchor B
sheet-role-backup = Closes the backup
sheet-role-eyes = Second pair of eyes
sheet-role-spotter = Spotter below
sheet-role-rescue = Rescue lead
sheet-role-first-aid = First aid
sheet-role-airspace = Airspace, landowner
sheet-comms = Words on the line
sheet-comms-word = Word
sheet-comms-means = means
sheet-comms-stop = stop
    .means = everybody stops at once, whoever says it
sheet-comms-slack = slack
    .means = let out at the anchor that is named
sheet-comms-tension = tension
    .means = take in at the anchor that is named
sheet-comms-off = off
    .means = nobody on the line, nobody under it
sheet-rescue-plan = Rescue plan (who goes, from which anchor, with what, how long):
sheet-rescue-phone = Phone, emergency number, place as told to rescuers:
sheet-rescue-escape = Escape from the line, nearest road:

## 3  Site

sheet-site = Draw: access, hazards below, people and roads, power lines, escape and rescue path, where nobody stands.
sheet-north = north:

## 5  Gear

sheet-gear = Gear
sheet-gear-line = Line
sheet-gear-name = Webbing or rope
sheet-gear-size = Size
sheet-gear-mass = Mass
sheet-gear-stretch = Stretch
sheet-gear-new = Strength when new
sheet-gear-known = how it is known
sheet-gear-aged = Aged strength
sheet-gear-age = Age (fill in)
sheet-gear-days = Days out (fill in)
sheet-gear-wide = { $width } wide
sheet-gear-rope = rope, { $width } thick
sheet-gear-stretch-at = { $stretch } at { $force }
sheet-gear-not-given = not given
sheet-gear-library = from the library
sheet-gear-note = The strength of new webbing does not hold for aged webbing. Write down age and days out before use.

## 6  Length and tension

sheet-lengths = Lengths and standing tension
sheet-lengths-what = What
sheet-lengths-value = How much
sheet-lengths-note = Note
sheet-lengths-span = Anchor to anchor, straight
sheet-lengths-main = Main, unstretched, lock to lock (tails extra)
sheet-lengths-standing = Main as it stands
sheet-lengths-stroke = Stroke of the tensioner
sheet-lengths-backup = Backup, unstretched, lock to lock: the mark that sits at B
sheet-lengths-longer = Backup longer than the main, both slack
sheet-lengths-main-a = Main at A, nobody on it
sheet-lengths-main-b = Main at B, nobody on it
sheet-lengths-survey = survey
sheet-lengths-computed = computed
sheet-lengths-less = main as it stands less unstretched
sheet-lengths-read = read it at the anchor's side of any pulley
sheet-no-walker = No walker in this scene: nothing is known of the loaded line.
sheet-no-ranges = No ranges were computed for this sheet. { $ranges }
sheet-meter-ranges = The ranges above are those of the meter's readings. { $ranges }
sheet-ranges = Ranges of sag, loops, falls and loss of the main, from the low and the high of every input, are printed by `linescope figures`.


## 7  Loops

sheet-marks = Marks on the slack lines from the lock at A
sheet-marks-number = No.
sheet-marks-tape = Tape
sheet-marks-holds = Holds
sheet-marks-main = on the main [{ $unit }]
sheet-marks-backup = on the backup [{ $unit }]
sheet-marks-bay = backup in the bay before [{ $unit }]
sheet-marks-tie = tie
sheet-marks-lock = anchor lock

## 8  Tapes

sheet-tape-plan = How each kind is made: the last pages. Sections and strips at 1:1: see the printed tape plan.
sheet-annex = How it is made: { $tape }

## 9  Steps.  A hold point begins with "Hold".

sheet-step-1 = Anchors and their back-up looked at by two people; padding on every edge the backup could reach.
sheet-step-2 = Lines laid out, taping checked by number, no twist at every tenth tape; the far end goes out first.
sheet-step-3 = Pull across with the loops clear of bushes and lip; nobody below.
sheet-step-4 = Main into the lock at A and B; backup into its own at the marks of section 7.
sheet-step-5 = Hold: backup closed at both ends and checked by a second person before anybody is on the line.
sheet-step-6 = Tension to the standing figure of section 6, read at the anchor's side of any pulley.
sheet-step-7 = Hold: tension written down; loops at five stations against section 10. If there is no slack anywhere, stop.
sheet-step-8 = Wait for the webbing to relax, read again; look at the lines metre by metre (section 13).
sheet-step-9 = Hold: ring on both lines, knot of the tie-in checked by a second person at the anchor, every time.
sheet-step-10 = First walk with the spotter watching the worst places of section 11; then read the tension again.

## 10  What you should see

sheet-accept = Loops to see, standing, nobody on the line (± { $tolerance } of each bay's own, and no other than most bays show: common practice, no source)
sheet-accept-where = Where
sheet-accept-middle = middle, from A
sheet-accept-depth = depth to see, { $state }
sheet-accept-between = accept between
sheet-accept-taped = as taped
sheet-accept-hold = by low and high hold
sheet-accept-seen = seen
sheet-accept-by = by
sheet-accept-stop = stop: no slack

## 11  Falls

sheet-no-fall-unknown = No-fall zones were not computed for this sheet. Nobody knows from it where a fall is clear of the ground.
sheet-clearance-unknown = Clearance was not computed: unknown.

## 12  Wind

sheet-wind-stop = Stop for people at (usual { $low } to { $high } in gusts, from memory, no source):
sheet-wind-empty = Watch or take down the empty line at (usual { $speed }, from memory, no source):
sheet-wind-who = Who measures, where, how often:

## 13  What to look at

sheet-look = What to look at, by distance from A on the standing main
sheet-look-from-a = from A
sheet-look-what = what
sheet-look-why = why
sheet-look-seen = seen by
sheet-look-anchor = lock, closed backup, padding, edge under both lines
sheet-look-joint = joint
sheet-look-joint-tied = tied; no tape within { $distance } (common practice, no source)
sheet-look-joint-loose = not tied to the backup; no tape within { $distance } (common practice, no source)
sheet-look-tie = tie { $number }
sheet-look-tie-why = holds both lines
sheet-look-bays = { $count ->
        [one] bay { $bays }
       *[other] bays { $bays }
    }
sheet-look-tight = backup without slack, { $state }
sheet-look-deepest = deepest loop once settled, { $depth }
sheet-look-clearance = worst place { $rank }
sheet-look-clearance-why = { $what }, { $cause }: less than is needed

## 14  Airspace

sheet-notice-height = Height of the line above ground and water, highest point:
sheet-notice-told = Airspace authority told on, by, reference (thresholds differ by country: ask):
sheet-notice-markers = Markers: kind, spacing, lights:
sheet-notice-landowner = Landowner, wildlife closures:

## 15  Assumptions

sheet-guesses = Inputs assumed because nobody gave them: { $assumed }. Inputs that are guesses: { $guessed }.
sheet-needs = Asked for: main { $line }, loops { $loop }, body { $body } from the ground; on top of each, survey error { $survey } and margin { $margin }.
sheet-limits = Limits of the model: static or quasi-static; no damping, no torsion, no creep of the webbing; the walker is a point load; tapes are ideal; anchors are rigid; the lowest points of falls are energy bounds, their forces estimates; air drag is simplified. The recoil of a broken main is not in the figures of the energy balance.

sheet-inputs = Inputs, the least known first
sheet-inputs-key = Input
sheet-inputs-value = Value as given
sheet-inputs-known = How it is known

## 16  Signatures

sheet-sign = Signature
sheet-sign-when = Date, time
sheet-sign-closed = Backup closed, seen by
sheet-built-tension = Tension read at A, at B; when; with what:
sheet-built-later = Tension after one hour, next morning:
sheet-built-loops = Loops seen (bay, depth), where they differ from section 10:
sheet-built-changes = Changes to the plan, by whom:
sheet-built-falls = Falls, wind, what was replaced:
