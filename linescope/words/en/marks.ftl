# Marks for loops of a wanted depth.

marks = Loops as wanted
marks-line = Loops

marks-wanted = wanted, { $where }
    .head = wanted
marks-reached = reached
marks-excess-slack = excess to mark on slack main
marks-excess-tensioned = excess to mark on main under { $tension }
marks-backup-length = backup, unstretched, lock to lock
marks-change = compared with the scene
marks-standing-depth = to see standing, nobody on the line, as taped
marks-standing-excess = excess then

marks-longer = { $by } longer
marks-shorter = { $by } shorter
marks-under-walker = as taped with the walker at { $at } from A, still air
marks-under-standing = as taped, nobody on the line, still air
marks-basis-slide = Lines that slide through their tapes afterwards change the loops: see `linescope figures`.

marks-kept = Kept as { $name }, with one excess a zone:
marks-kept-zone = zone { $zone }, { $style }, { $excess } excess: loops of { $loops }, where { $wanted } is wanted.
marks-kept-other = zone { $zone }, { $style }, { $excess } excess as before: loops of { $loops }.
marks-kept-styles = Kept as { $name }, taped by zone:
marks-kept-style = zone { $zone }: { $style }.
