# The page that opens offline, and the one that is served: what no topic owns.

## Figures beside the picture

page-state = { $state }, { $where }, { $air }
page-air-still = still air
page-air-steady = steady wind { $speed }
page-air-gust = held by a gust of { $speed }
page-air-other-side = { $air }, from the other side
page-row-tension-a = Main tension at A
page-row-tension-b = Main tension at B
page-row-backup-most = Backup tension, most
page-row-sag = Main below the chord, most
page-row-deepest = Deepest loop
page-row-shallowest = Shallowest loop
page-row-drop = Backup below the main, most
page-row-excess-least = Least excess
page-row-excess-most = Most excess
page-row-tight = Bays without slack
page-row-tapes = Tapes and ties
page-row-main-length = Main, unstretched
page-row-backup-length = Backup, unstretched
page-row-stretch = Stretch of the main, mean
page-place-deepest = Deepest loop: { $depth } in bay { $bay }
page-place-least = Least excess: { $excess } in bay { $bay }
page-place-slid = Slid farthest: tape { $tape }, { $distance }

## The page that opens offline

page-ar-left-out = At true size: both lines as taped in still air, tapes, anchors, and who stands on the line. Left out: the ground, falls, the loss of the main, wind, every distance. Lines are thicker than true, and far away still too thin to be seen; tapes are plain sleeves; anchor A is where you put it and the line points where you turn it, so nothing may be measured in it.
page-title = { $name }: { $plan }
page-plan = { $plan }. { $date }, linescope { $version }. Two significant figures. { $sign }
page-spoken = { $name } in three dimensions. { $summary }
page-needs-script = The picture needs JavaScript; the tables below do not.
page-unknown-clearance = Distances to the ground were not computed for this page: clearance is unknown.
page-legend-tape = { $style } ({ $count })

page-main-a = Main at A
page-main-b = Main at B
page-feet-chord = Feet below the chord
page-feet-ground = Feet above the ground
page-loops = Loops
page-no-loops = none: the backup is tight
page-excess = Least excess
page-backup = Most in the backup
page-walker = walker at { $place } from A

## What the served page answers

page-same = same
page-changed = changed
page-changed-more = +{ $share }
page-changed-less = −{ $share }
page-not-known = Not known: { $error }
page-undone = Taken back: { $what }
page-redone = Brought back: { $what }
page-nothing-undone = Nothing to take back
page-nothing-redone = Nothing to bring back
page-saved = Saved { $file }
page-saved-as = Saved as { $file }
page-opened = Opened { $file }
page-not-toml = The file on disk is not TOML just now: { $error }
page-adopted-levers = These settings are tried as variant { $variant }, and are solved now: what surfaces said of them was an estimate. Undo takes it back; Save writes it beside the file's own values.
page-adopted = Plan { $plan } is tried as variant { $variant }. Undo takes it back; Save writes it beside the file's own values.
page-read-again = { $file } was changed on disk and read again
page-edit-variant = variant { $name }
page-edit-own = the file's own values
page-edit-on-disk = the file changed on disk
page-edit-add = add { $what }
page-edit-take-out = take out { $what }
page-edit-of = { $what }: { $name }
page-edit-by = { $what } by { $name }
page-edit-mesh = ground from a mesh
page-job-running = a job is under way
page-job-unknown = there is no such job: { $kind }
page-job-not-right = the scene is not right; nothing is written from the last good state
page-job-no-folder = name the folder the brief goes to
page-job-begins = beginning
page-job-stopped = stopped
page-job-done = done
page-job-ended = the second process ended
page-job-files = { $count } files in { $folder }
page-job-left-out = left out: { $what }

## One loop or tape

page-loop-name = Loop { $number } of { $total }
page-loop-from-a = From A, along the main
page-loop-depth = Loop depth
page-loop-drop = Backup below the main
page-loop-excess = Excess
page-loop-bay = Bay on the stretched main
page-loop-length = Loop, unstretched
page-loop-main = Main tension
page-loop-backup = Backup tension
page-loop-share = Backup's share of the load
page-tape-name = Tape { $number } of { $total }
page-tape-style = Style
page-tape-style-holds = { $style }, holds { $line }
page-tape-zone = Zone
page-tape-from-a = From A, along the main
page-tape-mark-main = Mark on the slack main
page-tape-mark-backup = Mark on the backup
page-tape-slid = Slid since taped
page-tape-pull = Pull of the backup along it
page-tape-hold = Hold, drag
