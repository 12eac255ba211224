# Tape styles side by side.

styles = Tape styles on this rig, all with the same inputs: { $crossings } crossings there and back and { $wind } of wind
styles-question = Which tape style rubs which face, with the same use and on one scale?
styles-style = Style
styles-holds-both = tapes that hold both lines
styles-holds-main = tapes that hold the main
styles-holds-backup = tapes that hold the backup
styles-holds-both-main = tapes that hold both lines, and tapes that hold the main
styles-holds-both-backup = tapes that hold both lines, and tapes that hold the backup
styles-holds-main-backup = tapes that hold the main, and tapes that hold the backup

styles-slip = most slip in a crossing
styles-slip-high = at the most
styles-main-top = main top
styles-main-underside = main underside
styles-backup-top = backup top
styles-backup-underside = backup underside
styles-tape = on one strip
styles-force = force over a tape
styles-tape-length = tape
styles-time = time

styles-picture-both = Tapes that hold BOTH LINES
styles-picture-main = Tapes that hold THE MAIN: the backup runs through them
styles-picture-backup = Tapes that hold THE BACKUP: they move on the main
styles-picture-all = Every style: worst of each face, of one strip, and slip through one tape at the most
styles-picture-slip = most slip
styles-picture-follows = What follows
styles-picture-name = { $family } ({ $holds })
styles-picture-state = { $crossings } crossings, { $wind } of wind, the same rig and hold for every style

styles-failed = No result for { $names }.
styles-nothing-slips = With these holds no slider slips in a crossing: what tells the styles apart here is wind and strain.
styles-only-low = With the hold as given no slider slips in a crossing; it does at the low end of the hold.
styles-spares-main = The tensioned main's top is rubbed most by { $wears } (up to { $most }) and least by { $spares } (up to { $least }).
styles-fixed = Tapes that hold both lines slip nowhere, and rub always the same marks: the inner faces under the wrap up to { $inner }, the backup's underside beside it up to { $under }, the main's top up to { $top }.
styles-main-held = Tapes that hold the main: the backup's underside slides on the strip, up to { $under }; the main's top takes { $top }, the inner faces { $inner }.
styles-backup-held = Tapes that hold the backup: the strip slides on the main, its top up to { $top }; the backup's underside takes { $under }, the inner faces { $inner }.
styles-loops = Loops between { $holds }: { $least } to { $most } deep as taped, { $least_settled } to { $most_settled } when settled.
styles-wrapped = Where a loop wraps the main, tapes that hold the backup rub always the same spot of the backup; through tapes that hold the main another bit of backup comes each time (common practice).
styles-tab = A tucked tab is pulled out where much slides.
styles-least-tape = Least tape: { $least_name }, { $least }; most: { $most_name }, { $most } (waste included).
styles-same-hold = Families that hold the same line move alike here because their hold is the same input: hang a weight on a sample of each and give each its own.
styles-chalk = A test for a crew: chalk the lines under three strips of each style, walk five crossings, and look which face is wiped.
